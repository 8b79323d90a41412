# Exact p values of Spearman's r, two-sided. Rscript spearman_exact.R > spearman_exact.csv
# The recorded file is from R 4.2.2. Without ties, n <= 9: cor.test(exact = TRUE),
# which there goes through all orders too (prho.c). With ties, where cor.test has
# no exact p: every order of y written out, and counted.
set.seed(7)
orders <- function(v) {
  if (length(v) == 1) return(matrix(v))
  do.call(rbind, lapply(seq_along(v), function(i) cbind(v[i], orders(v[-i]))))
}
cat("kind,x,y,r,p\n")
say <- function(kind, x, y, r, p)
  cat(sprintf("%s,%s,%s,%.17g,%.17g\n", kind, paste(x, collapse = " "), paste(y, collapse = " "), r, p))
for (n in 4:9) for (k in 1:4) {
  x <- sample(n); y <- if (k == 1) x else sample(n)
  h <- cor.test(x, y, method = "spearman", exact = TRUE)
  say("exact", x, y, h$estimate, h$p.value)
}
for (n in 4:8) for (k in 1:4) {
  repeat { x <- sample(1:3, n, TRUE); y <- sample(1:(k + 1), n, TRUE); if (var(x) > 0 && var(y) > 0) break }
  a <- rank(x); b <- rank(y)
  s <- abs(orders(b) %*% (a - mean(a)))
  seen <- abs(sum((a - mean(a)) * b))
  say("ties", x, y, cor(a, b), mean(s >= seen - 1e-9))
}
for (n in c(12, 30)) { # above: the t approximation
  x <- sample(n); y <- x + sample(-3:3, n, TRUE)
  h <- suppressWarnings(cor.test(x, y, method = "spearman", exact = FALSE))
  r <- cor(rank(x), rank(y))
  say("t", x, y, h$estimate, 2 * pt(-abs(r) * sqrt((n - 2) / (1 - r^2)), n - 2))
}
