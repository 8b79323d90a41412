# Box-Cox centiles by base R: the likelihood as Box & Cox (1964) write it, by optimize().
# Rscript centile.R; recorded with R 4.2.2. Data: faithful$waiting and islands (datasets).
fit <- function(y) {
  made <- function(l) if (abs(l) < 1e-12) log(y) else (y^l - 1)/l
  loglik <- function(l) { z <- made(l); n <- length(y); -n/2 * log(sum((z - mean(z))^2)/n) + (l - 1) * sum(log(y)) }
  l <- optimize(loglik, c(-2, 2), maximum = TRUE, tol = 1e-10)$maximum
  z <- made(l); m <- mean(z); s <- sd(z)
  at <- function(p) (1 + l * (m + s * qnorm(p)))^(1/l)
  cat(sprintf("%.10g", c(l, at(.1), at(.5), at(.9), pnorm(((y[1]^l - 1)/l - m)/s))), "\n")
}
fit(faithful$waiting); fit(precip); fit(rivers)
