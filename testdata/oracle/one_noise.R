# Brown-Forsythe tests, moderated variances and what a true change must be, recorded in
# analysis/reliability/onenoise_test.go and analysis/decision/power_test.go.
# R 4.2.2; limma 3.54.1 (a general library of statistics; Debian's r-bioc-limma).
options(digits = 17)
first <- c(41.2, 38.7, 44.0, 40.1, 42.6, 55.3, 58.1, 52.4, 60.2, 57.7, 54.9, 71.0, 75.4, 68.8, 73.1, 77.9, 70.2, 74.6)
second <- c(42.0, 38.1, 45.9, 41.3, 41.8, 57.9, 57.2, 56.0, 59.1, 61.3, 55.5, 71.9, 74.8, 69.9, 73.0, 78.8, 71.6, 74.1)
group <- rep(c("school", "academy", "senior"), c(5, 6, 7))
bf <- function(z, g) { a <- anova(lm(z ~ factor(g))); c(a$"F value"[1], a$"Pr(>F)"[1]) }
d <- second - first
print(bf(abs(d - ave(d, group, FUN = median)), group))
# three sessions: rows less their mean, less the median of the group's session
third <- first + c(1, -1, 2, 0, 1, 3, -2, 4, 1, 0, 2, 1, 0, -1, 1, 2, 0, 1)
y <- cbind(first, second, third)
e <- y - rowMeans(y)
for (j in 1:3) e[, j] <- e[, j] - ave(e[, j], group, FUN = median)
print(bf(rowMeans(abs(e)), group))
suppressMessages(library(limma))
s2 <- c(1, 2, 3, 4, 30, 0.5, 9, 1.5)
for (df in c(2, 10)) { s <- squeezeVar(s2, df = df); print(c(s$df.prior, s$var.prior, s$var.post)) }
print(unlist(squeezeVar(c(3, 2, 2.5, 3.2, 2.8), df = 3)[c("df.prior", "var.prior")]))
seen <- function(df, power, level = 0.95) { t <- qt((1 + level) / 2, df)
  uniroot(function(d) pt(t, df, d, lower.tail = FALSE) - power, c(0, 50), tol = 1e-13)$root }
for (df in c(3, 7, 19, 58)) print(c(df, seen(df, 0.8), seen(df, 0.9), seen(df, 0.8, 0.9)))
