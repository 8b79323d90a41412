# Reference values of the tests of this package, from base R alone.
# Rscript oracle.R; recorded with R 4.2.2.
show <- function(name, ...) cat(name, sprintf("%.17g", unlist(list(...))), "\n")

# Chances and p values: change d, typical error te, df, worthwhile w.
for (x in list(c(3, 1.2, 11, 2), c(-9, 1.2, 11, 2), c(0.4, 1.2, 11, 2), c(30, 2.5, 4.785143862212763, 1))) {
  d <- x[1]; se <- sqrt(2) * x[2]; df <- x[3]; w <- x[4]
  rise <- pt((w - d) / se, df, lower.tail = FALSE); fall <- pt((-w - d) / se, df)
  a <- (-w - d) / se; b <- (w - d) / se
  middle <- if (b < 0) pt(b, df) - pt(a, df) else if (a > 0) pt(a, df, lower.tail = FALSE) - pt(b, df, lower.tail = FALSE) else 1 - rise - fall
  show("chance", x, rise, middle, fall, 2 * pt(-abs(d) / se, df))
}

# Changes with the p values of Benjamini & Hochberg (1995), SE 1, df 9.
p <- c(.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459, .3240, .4262, .5719, .6528, .7590, 1)
show("changes", qt(p / 2, 9, lower.tail = FALSE))

# False alarms with 1.96 in place of t.
show("1.96, df 7", 2 * pt(-1.96, 7))

# False alarms when a session of the noise study is judged again: noise from
# sessions 1 and 2, nobody changes, t at 95 %. Standard errors below 0.0005.
set.seed(1)
for (n in c(8, 12, 20)) {
  R <- 100000; t <- qt(.975, n - 1); one <- both <- numeric(R)
  for (r in 1:R) {
    e <- matrix(rnorm(3 * n), n); te <- sd(e[, 1] - e[, 2]) / sqrt(2)
    one[r] <- mean(abs(e[, 3] - e[, 2]) > t * te * sqrt(2))
    both[r] <- mean(abs(e[, 3] - (e[, 1] + e[, 2]) / 2) > t * te * sqrt(1.5))
  }
  show("false alarms", n, mean(one), sd(one) / sqrt(R), mean(both), sd(both) / sqrt(R))
}
