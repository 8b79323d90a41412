# Standings by base R: the rank, ρ, sampling limits, noise limits, band. Rscript standing.R;
# recorded with R 4.2.2.
y <- c(41.2, 38.5, 44.0, 36.1, 40.3, 39.9, 42.7, 37.4, 45.6, 40.3, 43.1, 35.8)
stand <- function(x, y, te, df, level = .95) {
  N <- length(y); a2 <- (1 - level)/2; m <- mean(y); rho <- if (te > 0) max(.05, 1 - te^2/var(y)) else 1
  s <- m + sqrt(rho) * (y - m)
  p <- function(x) (sum(s < x) + sum(s == x)/2 + .5)/(N + 1)
  b <- sum(s < x); e <- sum(s == x); a <- N - b - e
  ls <- qbeta(a2, b + 1, a + e + 1); us <- qbeta(1 - a2, b + e + 1, a + 1)
  t <- if (te > 0) qt(1 - a2, df) * te else 0; ln <- p(x - t); un <- p(x + t)
  cat(sprintf("%.15g", c(p(x), rho, ls, us, ln, un, max(0, p(x) - sqrt((p(x)-ls)^2 + (p(x)-ln)^2)), min(1, p(x) + sqrt((us-p(x))^2 + (un-p(x))^2)))), "\n")
}
stand(41.5, y, 1.2, 11); stand(40.3, y, 0, 11); stand(50, y, 2.5, Inf); stand(36, y, 4, 7, .9)
