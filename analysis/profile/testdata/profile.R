# Values that internal_test.go holds: Fieller's set by solving the quadratic with polyroot,
# generalised least squares and the posterior by solve(). R, base alone.
options(digits = 17)
# Fieller: D = 118, N = 100, var 16 and 25, covariance 6, 12 df, 95 %
D <- 118; N <- 100; S <- matrix(c(16, 6, 6, 25), 2); t <- qt(.975, 12)
r <- polyroot(c(D^2 - t^2 * S[1, 1], -2 * (D * N - t^2 * S[1, 2]), N^2 - t^2 * S[2, 2]))
print(sort(Re(r)))
# Line: velocities at 10, 20, 30, 45 kg, errors correlated 0.3, SD 0.02, 0.03, 0.03, 0.04; 18 df
x <- cbind(1, c(10, 20, 30, 45)); v <- c(1.62, 1.28, 0.93, 0.47); s <- c(.02, .03, .03, .04)
E <- outer(s, s) * (0.3 + 0.7 * diag(4)); W <- solve(E)
C <- solve(t(x) %*% W %*% x); b <- C %*% t(x) %*% W %*% v; q <- qt(.975, 18)
print(c(b)); print(b[1] + c(-1, 1) * q * sqrt(C[1, 1]))
a <- b[1]; d <- -b[2]; c12 <- -C[1, 2]
print(sort(Re(polyroot(c(a^2 - q^2 * C[1, 1], -2 * (a * d - q^2 * c12), d^2 - q^2 * C[2, 2])))))
res <- v - x %*% b; print(pf(c(t(res) %*% W %*% res) / 2, 2, 18, lower.tail = FALSE))
# the same velocities by lm with independent equal errors: the line itself
print(coef(lm(v ~ x[, 2])))
# Posterior: T compound symmetric 0.5 with SD 1, 1.2, 0.9; E diagonal .2, .3, .25; x - m = 1, -1, .5
sd <- c(1, 1.2, .9); T <- outer(sd, sd) * (.5 + .5 * diag(3)); E <- diag(c(.2, .3, .25)); o <- c(1, -1, .5)
G <- T %*% solve(T + E); print(c(G %*% o)); print(sqrt(diag(T - G %*% T)))
