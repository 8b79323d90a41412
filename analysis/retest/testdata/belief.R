# The best estimate of a true change and its chances, by brute force: base R, no closed
# form of the program but the mixed model in matrices: V = T + E of the spread of true
# changes and of the errors, Z the arms, P = V⁻¹ - V⁻¹Z(Z'V⁻¹Z)⁻¹Z'V⁻¹; given σ and τ the
# true changes are normal around D - EPD with covariance E - EPE, and the data have the
# density of REML. Both are integrated on a dense grid: log σ by the trapezium rule with 81 points, ρ = τ/σ from 0 to 6 by Simpson's rule
# with 201. The prior of σ² is df TE²/χ²(df). Rscript belief.R; recorded with R 4.2.2.
posterior <- function(d, g, arm, te, df, w) {
  n <- length(d); z <- outer(arm, unique(arm), "==") * 1
  logs <- if (is.finite(df)) seq(-2, 3, length.out = 81) else 0
  rho <- seq(0, 6, length.out = 201)
  simpson <- rep(c(2, 4), length.out = 201); simpson[c(1, 201)] <- 1
  grid <- expand.grid(l = logs, k = seq_along(rho))
  log <- numeric(nrow(grid)); mean <- sd <- matrix(0, nrow(grid), n)
  for (j in seq_len(nrow(grid))) {
    s <- te * exp(grid$l[j]); r <- rho[grid$k[j]]
    E <- diag((s * g)^2, n); V <- diag((s * r)^2, n) + E
    W <- solve(V); ZWZ <- t(z) %*% W %*% z
    P <- W - W %*% z %*% solve(ZWZ) %*% t(z) %*% W
    mean[j, ] <- d - E %*% P %*% d
    sd[j, ] <- sqrt(diag(E - E %*% P %*% E))
    known <- if (is.finite(df)) -df * grid$l[j] - df * exp(-2 * grid$l[j]) / 2 else 0
    log[j] <- known - 0.5 * determinant(V)$modulus - 0.5 * determinant(ZWZ)$modulus -
      0.5 * sum(d * (P %*% d)) - r^2 / 8 + log(simpson[grid$k[j]])
  }
  p <- exp(log - max(log)); p <- p / sum(p)
  above <- function(x, i) sum(p * pnorm(x, mean[, i], sd[, i], lower.tail = FALSE))
  for (i in seq_len(n)) {
    lo <- uniroot(function(x) above(x, i) - 0.975, c(-200, 200), tol = 1e-10)$root
    hi <- uniroot(function(x) above(x, i) - 0.025, c(-200, 200), tol = 1e-10)$root
    cat(sprintf("{%.6f, %.6f, %.6f, %.6f, %.6f},\n", sum(p * mean[, i]), lo, hi, above(w, i), 1 - above(-w, i)))
  }
}
d <- c(3.1, -0.4, 1.8, 5.6, 0.2, 2.4, -1.2, 0.7, -2.3, 1.1, 0.4, -0.6, 3.9)
g <- sqrt(c(rep(1.5, 9), 2, 1.5, 1.5, 1))
cat("two arms, TE 1.3 on 11 df, w 0.8\n"); posterior(d, g, rep(1:2, c(7, 6)), 1.3, 11, 0.8)
cat("one arm, TE 1.3 known, w 0.8\n"); posterior(d, g, rep(1, 13), 1.3, Inf, 0.8)
cat("one arm of six, TE 0.5 on 5 df, w 1\n"); posterior(d[1:6], g[1:6], rep(1, 6), 0.5, 5, 1)
