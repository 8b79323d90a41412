# Limits of the noncentrality of an F that was seen: the noncentralities at which
# it is a quantile. Rscript noncentral_f_limits.R > noncentral_f_limits.csv
# The recorded file is from R 4.2.2: uniroot on sums of dpois and pbeta, because
# pf with a noncentrality is good to 1e-9 only (errmax in pnbeta.c).
tail <- function(x, a, b, ncp, lower) {
  j <- 0:ceiling(ncp + 400)
  sum(dpois(j, ncp / 2) * pbeta(a * x / (a * x + b), a / 2 + j, b / 2, lower.tail = lower))
}
root <- function(f) if (f(0) >= 0) 0 else uniroot(f, c(0, 20000), tol = 1e-13, maxiter = 10000)$root
cat("f,df1,df2,level,lower,upper\n")
for (df in list(c(1, 17), c(2, 17), c(7, 45), c(1, 8), c(9, 300)))
  for (level in c(0.8, 0.95, 0.99)) for (f in c(0.001, 0.3, 1, 2.5, 4, 9, 60)) {
    p <- (1 - level) / 2
    l <- root(function(ncp) tail(f, df[1], df[2], ncp, FALSE) - p)
    u <- root(function(ncp) p - tail(f, df[1], df[2], ncp, TRUE))
    cat(sprintf("%.17g", c(f, df, level, l, u)), sep = ","); cat("\n")
  }
