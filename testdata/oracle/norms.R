# Standings, quantiles with their limits, and standings in a norms file by base R. A line of
# the input is x,TE,df,p,score;score;...  A line of the output: rank, rho, sampling limits,
# noise limits, band; quantile of type 8, its limits and their level; rank in a file that
# keeps mean, SD and the quartiles unrounded, and its sampling limits.
for (line in readLines(commandArgs(TRUE)[1])) {
  f <- strsplit(line, ",")[[1]]
  x <- as.numeric(f[1]); te <- as.numeric(f[2]); df <- as.numeric(f[3]); q <- as.numeric(f[4])
  y <- as.numeric(strsplit(f[5], ";")[[1]]); N <- length(y)
  m <- mean(y); rho <- max(.05, 1 - te^2/var(y)); s <- m + sqrt(rho) * (y - m)
  rank <- function(v) (sum(s < v) + sum(s == v)/2 + .5)/(N + 1)
  b <- sum(s < x); e <- sum(s == x); p <- rank(x); t <- qt(.975, df) * te
  ls <- qbeta(.025, b + 1, N - b + 1); us <- qbeta(.975, b + e + 1, N - b - e + 1)
  ln <- rank(x - t); un <- rank(x + t)
  band <- c(max(0, p - sqrt((p - ls)^2 + (p - ln)^2)), min(1, p + sqrt((us - p)^2 + (un - p)^2)))
  o <- sort(y); r <- max(c(0, which(pbinom(0:(N - 1), N, q) <= .025))); k <- 1:(N + 1)
  u <- min(k[pbinom(k - 1, N, q, lower.tail = FALSE) <= .025])
  lim <- if (r >= 1 && u <= N) c(o[r], o[u], pbinom(u - 1, N, q) - pbinom(r - 1, N, q)) else c(NA, NA, NA)
  kq <- quantile(y, c(.25, .5, .75), type = 8, names = FALSE); ks <- m + sqrt(rho) * (kq - m)
  z <- approx(ks, qnorm(c(.25, .5, .75)), x)$y; F <- pnorm(z); B <- (N + 1) * F - .5
  cat(sprintf("%.17g", c(p, rho, ls, us, ln, un, band, quantile(y, q, type = 8, names = FALSE), lim, F,
    qbeta(.025, B + 1, N - B + 1), qbeta(.975, B + 1, N - B + 1))), "\n")
}
