# What blocks add to R², with limits, in correlation_cohort.csv.
#   Rscript added_r2.R correlation_cohort.csv > added_r2.csv
# The recorded file is from R 4.2.2. F by anova of lm. The noncentralities are
# found by uniroot on sums of dpois and pbeta; they
# become a partial R², whose two limits and the standard error of log(1 - R² of the
# smaller model) are put together by the rules of the variance of a sum of two
# correlated logarithms, with their covariance by the delta method as
# written out below.
d <- read.csv(commandArgs(TRUE)[1], na.strings = "")
d <- d[complete.cases(d[c("speed", "level", "mass", "age", "throw", "jump", "pull", "sprint")]), ]
tail <- function(f, a, b, ncp, lower) {
  j <- 0:ceiling(ncp + 500)
  sum(dpois(j, ncp / 2) * pbeta(a * f / (a * f + b), a / 2 + j, b / 2, lower.tail = lower))
}
root <- function(g) if (g(0) >= 0) 0 else uniroot(g, c(0, 5000), tol = 1e-12, maxiter = 10000)$root
step <- function(name, small, terms, level) {
  m0 <- lm(reformulate(small, "speed"), d); m1 <- lm(reformulate(c(if (small[1] != "1") small, terms), "speed"), d)
  a <- anova(m0, m1); f <- a$F[2]; q <- a$Df[2]; df <- a$Res.Df[2]; p <- (1 - level) / 2
  l <- root(function(k) tail(f, q, df, k, FALSE) - p); u <- root(function(k) p - tail(f, q, df, k, TRUE))
  N <- q + df + 1
  P <- summary(m1)$r.squared - summary(m0)$r.squared; P <- P / (1 - summary(m0)$r.squared)
  limits <- c(l, u) / (c(l, u) + N)
  R0 <- summary(m0)$r.squared; U <- 1 - R0
  # Squared steps add, with twice the covariance: var(ln P) = 4 (1-P)^2/P, var(ln U)
  # = 4 R0, cov = 2 (1-P) R0, each over n, for normal data.
  correlation <- if (R0 > 0) 2 * (1 - P) * R0 / sqrt(4 * (1 - P)^2 / P * 4 * R0) else 0
  steps <- log(limits / P); other <- qnorm(1 - p) * sqrt(4 * R0 / (nrow(d) - length(coef(m0)) - 2))
  both <- sqrt(steps^2 + other^2 + 2 * correlation * abs(steps) * other)
  lower <- if (l > 0) P * U * exp(-both[1]) else 0
  upper <- min(1, P * U * exp(both[2]))
  cat(sprintf("%s,%g,%.17g,%d,%d,%.17g,%d,%.17g,%.17g,%.17g\n", name, level, f, q, df, R0, length(coef(m0)) - 1,
    P * U, lower, upper))
}
cat("name,level,f,df1,df2,small,terms,value,lower,upper\n")
for (level in c(0.8, 0.95, 0.99)) {
  step("throw alone", "1", "throw", level)
  step("jumps alone", "1", c("jump", "pull"), level)
  step("throw after jumps", c("jump", "pull", "sprint"), "throw", level)
  step("jumps after covariates", c("mass", "age", "level"), c("jump", "pull", "sprint"), level)
  step("throw after all", c("mass", "age", "level", "jump", "pull", "sprint"), "throw", level)
  step("sprint after throw", "throw", "sprint", level)
}
