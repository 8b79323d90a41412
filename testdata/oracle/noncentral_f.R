# Tails of noncentral F, and limits of the noncentrality.
#   Rscript noncentral_f.R > noncentral_f.csv
# The recorded noncentral_f.csv is from R 4.2.2. R's own pf with a noncentrality
# stops its series at an error of 1e-9 (errmax in pnbeta.c) and has the lower tail
# only, so the tails are summed here from dpois and pbeta, in logarithms, and pf
# stands beside them for what it is worth. Limits by uniroot on these sums.
lower <- function(x, a, b, ncp) tail(x, a, b, ncp, TRUE)
upper <- function(x, a, b, ncp) tail(x, a, b, ncp, FALSE)
tail <- function(x, a, b, ncp, lower) {
  j <- 0:ceiling(ncp + 400)
  sum(exp(dpois(j, ncp / 2, log = TRUE) +
    pbeta(a * x / (a * x + b), a / 2 + j, b / 2, lower.tail = lower, log.p = TRUE)))
}
say <- function(...) cat(sprintf("%.17g", c(...)), sep = ",")
cat("x,df1,df2,ncp,lower,upper,pf\n")
for (a in c(1, 2, 7, 40)) for (b in c(1, 10, 33.5, 1000))
  for (ncp in c(0, 1e-6, 0.5, 5, 60, 2000)) for (x in c(1e-6, 0.02, 0.8, 1, 3, 25, 1e4)) {
    say(x, a, b, ncp, lower(x, a, b, ncp), upper(x, a, b, ncp), suppressWarnings(pf(x, a, b, ncp)))
    cat("\n")
  }
