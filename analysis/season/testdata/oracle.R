# Expected values of the tests of analysis/season: Rscript oracle.R (base R 4.2.2; the
# last part wants the package mvtnorm, and leaves it out where it is not there).

# Single sessions only: Dunnett's two-sided factor, equal correlations 1/(1+b), by quadrature.
dunnett <- function(c, J, b, df) {
  rho <- 1 / (1 + b)
  inner <- function(s) sapply(s, function(s) integrate(function(z) dnorm(z) *
    (pnorm((c * s + sqrt(rho) * z) / sqrt(1 - rho)) - pnorm((-c * s + sqrt(rho) * z) / sqrt(1 - rho)))^J,
    -9, 9, rel.tol = 1e-11, subdivisions = 500)$value)
  1 - integrate(function(s) inner(s) * dchisq(df * s^2, df) * 2 * df * s, 0, 6, rel.tol = 1e-10, subdivisions = 500)$value
}
for (b in 1:3) for (df in c(7, 19, 39)) for (J in c(4, 8, 12))
  cat("dunnett", b, df, J, sprintf("%.8f", uniroot(function(c) dunnett(c, J, b, df) - 0.05, c(2, 6), tol = 1e-10)$root), "\n")
for (x in c(2, 4, 8)) cat("dunnett p, b 2, df 19, J 8, at", x, sprintf("%.6e", dunnett(x, 8, 2, 19)), "\n")

# A line on known noise: lm's slope, its standard error over its residual SD.
y <- c(61.2, 60.1, 62.9, 63.4, 62.2, 65.0)
for (x in list(1:6, c(0, 9, 14, 30, 37, 51) / 7)) {
  f <- lm(y ~ x); s <- summary(f)
  se <- s$coefficients[2, 2] / s$sigma * 1.3
  cat("line", sprintf("%.12f", c(coef(f)[2], se, coef(f)[2] - qt(.975, 19) * se, coef(f)[2] + qt(.975, 19) * se,
    s$sigma, 2 * pt(-abs(coef(f)[2] / se), 19))), "\n")
}
cat("F limits", sprintf("%.10f", c(qf(.9, 4, 19))), "\n")
# the same scores with a typical error of 0.5: lm's own interval
f <- lm(y ~ I(1:6)); cat("own", sprintf("%.12f", c(confint(f)[2, ], summary(f)$coefficients[2, 4])), "\n")

# Neighbouring residuals of independent noise: expectation, and its spread by simulation.
maker <- function(n) { X <- cbind(1, 1:n); diag(n) - X %*% solve(t(X) %*% X) %*% t(X) }
for (n in c(4, 8, 12)) cat("lag", n, sprintf("%.12f", sum(diag(maker(n)[-1, -n])) / (n - 2)), "\n")
set.seed(7)
r <- replicate(20000, { e <- maker(8) %*% matrix(rnorm(8 * 30), 8); sum(e[-1, ] * e[-8, ]) / sum(e^2) })
cat("30 lines of 8: mean", mean(r), "sd", sd(r), "\n")

# The whole watch: every mean of the last w sessions.
if (suppressWarnings(requireNamespace("mvtnorm", quietly = TRUE))) {
  watch <- function(c, J, b, df) {
    L <- NULL
    for (j in 1:J) for (w in 1:j) {
      v <- numeric(J + 1); v[(j - w + 1):j] <- 1 / w; v[J + 1] <- -1 / sqrt(b)
      L <- rbind(L, v / sqrt(sum(v^2)))
    }
    set.seed(1)
    1 - mvtnorm::pmvt(lower = rep(-c, nrow(L)), upper = rep(c, nrow(L)), df = df, corr = L %*% t(L),
      algorithm = mvtnorm::GenzBretz(maxpts = 4e5, abseps = 1e-5))
  }
  for (J in c(3, 4, 6)) for (b in 1:3) for (df in c(7, 19))
    cat("watch", J, b, df, sprintf("%.4f", watch(3, J, b, df)), "\n")
}
