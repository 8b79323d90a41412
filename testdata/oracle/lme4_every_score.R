# Reliability of tables with missing scores by R: REML by lme4, and the exact
# law of the variance ratio from matrices of the size of the data.
#
#   Rscript lme4_every_score.R scores.csv
#
# scores.csv: columns measure, athlete, session, value; one score per row, those
# that are missing left out. Prints JSON: for each measure
#   value ~ session + (1 | athlete)   var_athlete, var_residual, mean (of the
#       sessions), change and se of consecutive sessions, f (of equal session
#       means, Wald), var_session (S2 of the means less what their errors add)
#   value ~ 1 + (1 | athlete)         one_athlete, one_residual
#   ratio_lower, ratio_upper          95 % limits of var_athlete/var_residual by
#       Wald (1947), one_lower and one_upper of the fit with one mean
suppressPackageStartupMessages({
  library(lme4)
  library(jsonlite)
})

scores <- read.csv(commandArgs(trailingOnly = TRUE)[1],
                   colClasses = c(measure = "character", athlete = "character", session = "character", value = "numeric"))
tight <- lmerControl(optimizer = "nloptwrap", calc.derivs = FALSE, check.conv.singular = "ignore",
                     optCtrl = list(xtol_abs = 1e-12, xtol_rel = 0, ftol_abs = 0, ftol_rel = 1e-16, maxeval = 100000))

# Where (R(theta) - R(inf))/df1 / (R(inf)/df2) equals the quantiles of F.
ratio <- function(d, x) {
  z <- model.matrix(~ 0 + athlete, d)
  y <- d$value
  both <- lm.fit(cbind(x, z), y)
  rest <- sum(both$residuals^2)
  df1 <- both$rank - qr(x)$rank
  df2 <- length(y) - both$rank
  f <- function(theta) {
    v <- diag(length(y)) + theta * tcrossprod(z)
    w <- solve(v)
    r <- y - x %*% solve(t(x) %*% w %*% x, t(x) %*% w %*% y)
    (drop(t(r) %*% w %*% r) - rest) / df1 / (rest / df2)
  }
  limit <- function(q) {
    if (f(0) <= q) return(0)
    uniroot(function(l) log(f(exp(l))) - log(q), c(-12, 12), tol = 1e-12)$root |> exp()
  }
  list(f = f(0), lower = limit(qf(0.975, df1, df2)), upper = limit(qf(0.025, df1, df2)))
}

one <- function(d) {
  d$athlete <- factor(d$athlete, unique(d$athlete))
  d$session <- factor(d$session, sort(unique(d$session)))
  x <- model.matrix(~ 0 + session, d)
  m <- lmer(value ~ 0 + session + (1 | athlete), d, REML = TRUE, control = tight)
  s <- lmer(value ~ 1 + (1 | athlete), d, REML = TRUE, control = tight)
  v <- as.data.frame(VarCorr(m))$vcov
  w <- as.data.frame(VarCorr(s))$vcov
  b <- unname(fixef(m))
  cov <- as.matrix(vcov(m))
  k <- length(b)
  c <- cbind(-1, diag(k - 1))
  step <- diag(k)[-1, , drop = FALSE] - diag(k)[-k, , drop = FALSE]
  two <- ratio(d, x)
  single <- ratio(d, matrix(1, nrow(d), 1))
  list(var_athlete = v[1], var_residual = v[2], one_athlete = w[1], one_residual = w[2], mean = mean(b),
       change = I(drop(step %*% b)), se = I(sqrt(diag(step %*% cov %*% t(step)))),
       f = drop(t(c %*% b) %*% solve(c %*% cov %*% t(c), c %*% b)) / (k - 1),
       var_session = var(b) - (sum(diag(cov)) - sum(cov) / k) / (k - 1),
       ratio_f = two$f, ratio_lower = two$lower, ratio_upper = two$upper,
       one_lower = single$lower, one_upper = single$upper)
}

measures <- unique(scores$measure)
results <- lapply(measures, function(m) one(scores[scores$measure == m, ]))
names(results) <- measures
cat(toJSON(list(r = R.version.string, lme4 = as.character(packageVersion("lme4")), measures = results),
           digits = NA, auto_unbox = TRUE, pretty = TRUE), "\n")
