# Correlation inside athletes with the session means taken out, whole tables and
# tables with gaps. Rscript repeated.R > repeated.csv
# The recorded file is from R 4.2.2: anova and lm with athlete and session as
# factors, before x; r from the sums of squares, p that of the anova. Slope and
# limits by confint. The tables are printed first, then what R says of them.
set.seed(6)
cat("table,athlete,session,x,y\n")
tables <- list()
for (t in 1:4) {
  d <- expand.grid(session = 1:c(2, 3, 5, 4)[t], athlete = 1:c(12, 8, 6, 9)[t])
  a <- rnorm(max(d$athlete), 0, 3); b <- c(0, 1.5, 0.5, 2, -1)
  d$x <- round(50 + a[d$athlete] + b[d$session] + rnorm(nrow(d)), 3)
  d$y <- round(30 + 2 * rnorm(max(d$athlete))[d$athlete] + 0.8 * b[d$session] + 0.4 * d$x + rnorm(nrow(d)), 3)
  if (t == 3) d <- d[-c(2, 3, 9, 14, 20, 21, 22, 23, 30), ]
  # Two groups of athletes that share no session.
  if (t == 4) d <- d[(d$athlete <= 4) == (d$session <= 2), ]
  for (i in seq_len(nrow(d))) cat(sprintf("%d,%d,%d,%.3f,%.3f\n", t, d$athlete[i], d$session[i], d$x[i], d$y[i]))
  tables[[t]] <- d
}
cat("#\ntable,name,value\n")
for (t in 1:4) {
  d <- transform(tables[[t]], athlete = factor(athlete), session = factor(session))
  m <- lm(y ~ athlete + session + x, d); a <- anova(m)
  s <- a["x", "Sum Sq"]; r <- sign(coef(m)[["x"]]) * sqrt(s / (s + a["Residuals", "Sum Sq"]))
  say <- function(name, value) cat(sprintf("%d,%s,%.17g\n", t, name, value))
  say("r", r); say("p", a["x", "Pr(>F)"]); say("df", a["Residuals", "Df"]); say("F", a["x", "F value"])
  say("ssx", s); say("ssresidual", a["Residuals", "Sum Sq"])
  say("slope", coef(m)[["x"]]); say("slope_lower", confint(m)["x", 1]); say("slope_upper", confint(m)["x", 2])
  for (v in c("x", "y")) {
    f <- anova(lm(reformulate(c("athlete", "session"), v), d))
    say(paste0("moves_", v), f["session", "F value"]); say(paste0("moves_", v, "_p"), f["session", "Pr(>F)"])
    say(paste0("moves_", v, "_df"), f["session", "Df"])
  }
  a <- anova(lm(y ~ athlete + x, d)); s <- a["x", "Sum Sq"]
  say("only", sign(coef(lm(y ~ athlete + x, d))[["x"]]) * sqrt(s / (s + a["Residuals", "Sum Sq"])))
  say("only_p", a["x", "Pr(>F)"])
}
