# BCa limits (95 %) of correlations and their differences in
# correlation_cohort.csv by R package boot.
#   Rscript bootstrap_limits.R correlation_cohort.csv > bootstrap_limits.csv
# The recorded file is from R 4.2.2, boot 1.3-28.1, 20,000 resamples. The
# acceleration is that of the jackknife (given to boot.ci as L); boot's own
# estimate of it is a regression on the resamples.
library(boot)
set.seed(3)
d <- read.csv(commandArgs(TRUE)[1], na.strings = "")
d <- d[complete.cases(d[c("speed", "level", "mass", "age", "throw", "jump", "pull", "sprint")]), ]
d$level <- factor(d$level)
inside <- function(v, g) v - ave(v, g)
statistic <- function(d, i) {
  d <- d[i, ]
  y <- d$speed
  x <- as.matrix(d[c("throw", "jump", "pull", "sprint")])
  x[, "sprint"] <- -x[, "sprint"] # better is lower
  r <- cor(x, y)[, 1]
  w <- cor(apply(x, 2, inside, d$level), inside(y, d$level))[, 1]
  held <- cbind(1, d$mass, d$age)
  left <- function(v) qr.resid(qr(held), v)
  c(pearson = r[["throw"]], spearman = cor(x[, "throw"], y, method = "spearman"),
    partial = cor(left(x[, "throw"]), left(y)), within = w[["throw"]],
    difference = r[["throw"]] - r[["jump"]], difference_within = w[["throw"]] - w[["jump"]])
}
n <- nrow(d)
b <- boot(d, statistic, 20000)
left <- t(sapply(1:n, function(i) statistic(d, (1:n)[-i])))
cat("name,value,lower,upper\n")
for (k in seq_along(b$t0)) {
  l <- (n - 1) * (mean(left[, k]) - left[, k])
  limits <- boot.ci(b, type = "bca", index = k, L = l)$bca[4:5]
  cat(sprintf("%s,%.17g,%.17g,%.17g\n", names(b$t0)[k], b$t0[k], limits[1], limits[2]))
}
