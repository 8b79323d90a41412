# r within levels, freed of the noise within levels. Rscript corrected_within.R > corrected_within.csv
# The recorded file is from R 4.2.2: mean squares by anova of lm with level,
# session of each level, and athlete as factors; r of the residuals from level.
# The table is printed first, then what R says of it.
set.seed(8)
n <- c(7, 5, 6); g <- rep(c("A", "B", "C"), n); k <- 3
d <- expand.grid(session = 1:k, athlete = seq_along(g)); d$level <- g[d$athlete]
skill <- rnorm(length(g)); lift <- c(A = 0, B = 6, C = 9)
for (v in c("x", "y")) {
  true <- lift[d$level] + (0.8 * skill + 0.6 * rnorm(length(g)))[d$athlete]
  learned <- 0.4 * d$session * (1 + match(d$level, c("A", "B", "C")))
  d[[v]] <- round(true + learned + 0.8 * rnorm(nrow(d)), 3)
}
cat("athlete,level,session,x,y\n")
for (i in seq_len(nrow(d))) cat(sprintf("%d,%s,%d,%.3f,%.3f\n", d$athlete[i], d$level[i], d$session[i], d$x[i], d$y[i]))
f <- transform(d, athlete = factor(athlete), session = factor(session), level = factor(level))
icc <- function(v) {
  a <- anova(lm(reformulate(c("level", "athlete", "level:session"), v), f))
  (a["athlete", "Mean Sq"] - a["Residuals", "Mean Sq"]) / a["athlete", "Mean Sq"]
}
m <- aggregate(cbind(x, y) ~ athlete + level, d, mean)
r <- cor(resid(lm(x ~ level, m)), resid(lm(y ~ level, m)))
cat("#\nname,value\n")
cat(sprintf("%s,%.17g\n", c("r", "test", "outcome", "corrected"), c(r, icc("x"), icc("y"), r / sqrt(icc("x") * icc("y")))), sep = "")
