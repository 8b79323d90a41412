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

# Other numbers of attempts than the study's. By hand: components 4 and 9,
# covariance 2, -0.5, 1.5; the quantiles of the two df.
show("t, df 100 and 53.4545", qt(.975, 100), qt(.975, 2 * 10.5^2 / 4.125))

# False alarms of a follow-up of t attempts, baseline and study (n athletes, 2
# sessions) of 3, trial SD 1, day-to-day variance v: with the typical error all
# the same (exact), and by Satterthwaite with mean squares, 10^6 studies. A
# negative day-to-day component is 0 and the trial component pooled, as REML has it.
set.seed(2)
for (v in c(1, 0)) for (n in c(8, 12, 20)) for (t in c(1, 6)) {
  N <- 1e6; a <- n - 1; b <- 4 * n; day <- 2; try <- 1 / 3 + 1 / t
  m1 <- (3 * v + 1) * rchisq(N, a) / a; m2 <- rchisq(N, b) / b
  pooled <- (a * m1 + b * m2) / (a + b); low <- m1 < m2
  m1[low] <- pooled[low]; m2[low] <- pooled[low]
  c1 <- day / 3; c2 <- try - day / 3
  L <- c1 * m1 + c2 * m2; df <- L^2 / ((c1 * m1)^2 / a + (c2 * m2)^2 / b)
  rate <- 2 * pnorm(-qt(.975, df) * sqrt(L / (day * v + try)))
  ratio <- (day * v + try) / (2 * (v + 1 / 3))
  show("attempts", v, n, t, 2 * pt(-qt(.975, a) / sqrt(ratio), a), mean(rate), sd(rate) / sqrt(N))
}

show("t, df 30.86 and 9", qt(.975, 625 / 20.25), qt(.95, 9), qt(.975, 9))

# Practice. Student's sleep data (datasets): the change from drug 1 to drug 2 as
# a noise study, and the prediction interval of one more difference.
d <- with(sleep, extra[group == 2] - extra[group == 1])
show("sleep", t.test(d)$conf.int, sd(d) / sqrt(2), mean(d))
show("sleep, one more", predict(lm(d ~ 1), data.frame(1), interval = "prediction"))
# False alarms with Welch's df in place of n-1 (8 athletes, 2 sessions).
w <- (1 + 1 / 8)^2 * 7 / (1 + 1 / 64)
show("Welch", w, 2 * pt(-qt(.975, w), 7))
# 8 athletes, 3 sessions, nobody changes but by practice: rate by the df that
# take both errors as dependent; 2*10^5 studies.
N <- 2e5; hit <- numeric(N)
for (r in 1:N) {
  e <- matrix(rnorm(24), 8); e0 <- e - rowMeans(e); e0 <- sweep(e0, 2, colMeans(e0))
  te2 <- sum(e0^2) / 14; s <- e[, 3] - e[, 2]; v <- var(s) / 8
  se2 <- 2 * te2 + v; df <- se2^2 / (2 * te2 / sqrt(14) + v / sqrt(7))^2
  hit[r] <- abs(rnorm(1, 0, sqrt(2)) - mean(s)) > qt(.975, df) * sqrt(se2)
}
show("practice, 3 sessions", mean(hit), sd(hit) / sqrt(N))

# The change 12 by components (SE^2 20, df 100) against a worthwhile 5.
show("chance by components", pt((5 - 12) / sqrt(20), 100, lower.tail = FALSE), pt(-17 / sqrt(20), 100), 2 * pt(-12 / sqrt(20), 100))
