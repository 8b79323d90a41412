# Bootstrap of ICC(A,1) with R's package boot: input is a table of n athletes by
# k sessions (a row each, no header). Prints JSON: the estimate, mean and SD of
# the replicates, and the seconds that boot() took at best.
suppressPackageStartupMessages({ library(boot); library(jsonlite) })
y <- as.matrix(read.csv(commandArgs(TRUE)[1], header = FALSE))
icc <- function(y) {
  n <- nrow(y); k <- ncol(y)
  g <- mean(y); r <- rowMeans(y); cc <- colMeans(y)
  msr <- k * sum((r - g)^2) / (n - 1)
  msc <- n * sum((cc - g)^2) / (k - 1)
  mse <- sum((y - outer(r, cc, "+") + g)^2) / ((n - 1) * (k - 1))
  (msr - mse) / (msr + (k - 1) * mse + k / n * (msc - mse))
}
set.seed(1)
seconds <- min(sapply(1:3, function(i) system.time(b <<- boot(y, function(d, i) icc(d[i, , drop = FALSE]), R = 10000))[["elapsed"]]))
cat(toJSON(list(estimate = unbox(b$t0), mean = unbox(mean(b$t)), sd = unbox(sd(b$t)), seconds = unbox(seconds)), digits = NA))
