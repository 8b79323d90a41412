# Variance components by lme4, for the tests of package varcomp.
#
#   Rscript varcomp_lme4.R attempts.csv
#
# attempts.csv: columns set, model, athlete, session, value; one attempt per
# row. The models are
#   nested       value ~ session + (1 | athlete) + (1 | athlete:session)
#   nested_mean  value ~ 1       + (1 | athlete) + (1 | athlete:session)
#   scores       value ~ session + (1 | athlete)
#   scores_mean  value ~ 1       + (1 | athlete)
# With "time" after the model's name, only the seconds are given that one REML
# fit with lme4's own settings takes, the best of five. With "excess", a component (athlete, session,
# trial) and an SD after it, only how far the ML deviance with that SD, minimised
# over the other components, exceeds its minimum: by a dense likelihood and optim,
# for limits at which lme4's interpolated profile is in doubt (it loses its way
# where a second component is 0 on a part of the profile). Prints JSON: for each set the REML
# variances, criterion, means and standard errors, and the 95 % ML profile limits
# of the SDs. The set "Pastes" of lme4 is added with its data.
suppressPackageStartupMessages({
  library(lme4)
  library(jsonlite)
})

rows <- read.csv(commandArgs(trailingOnly = TRUE)[1],
                 colClasses = c(set = "character", model = "character", athlete = "character",
                                session = "character", value = "numeric"))
tight <- lmerControl(optimizer = "nloptwrap", calc.derivs = FALSE,
                     check.conv.singular = "ignore", check.nobs.vs.nlev = "ignore",
                     check.nobs.vs.nRE = "ignore",
                     optCtrl = list(xtol_abs = 1e-12, xtol_rel = 0, ftol_abs = 0, ftol_rel = 1e-16, maxeval = 100000))
formulas <- list(nested = value ~ session + (1 | athlete) + (1 | athlete:session),
                 nested_mean = value ~ 1 + (1 | athlete) + (1 | athlete:session),
                 scores = value ~ session + (1 | athlete),
                 scores_mean = value ~ 1 + (1 | athlete))

# ML deviance at SDs (athlete, session, trial), signs ignored, means profiled out.
deviance_at <- function(d, x) {
  n <- nrow(d)
  same <- outer(d$athlete, d$athlete, "==")
  day <- same & outer(d$session, d$session, "==")
  function(sd) {
    root <- tryCatch(chol(sd[1]^2 * same + sd[2]^2 * day + diag(sd[3]^2, n)), error = function(e) NULL)
    if (is.null(root)) return(1e10)
    y <- backsolve(root, d$value - mean(d$value), transpose = TRUE)
    r <- qr.resid(qr(backsolve(root, x, transpose = TRUE)), y)
    2 * sum(log(diag(root))) + sum(r^2) + n * log(2 * pi)
  }
}

lowest <- function(f, starts) {
  best <- Inf
  for (s in starts) {
    for (round in 1:3) {
      o <- optim(s, f, method = "Nelder-Mead", control = list(reltol = 1e-15, maxit = 5000))
      s <- o$par
    }
    best <- min(best, o$value)
  }
  best
}

excess <- function(d, f, words) {
  x <- model.matrix(lme4::nobars(f), d)
  dev <- deviance_at(d, x)
  s <- sd(d$value)
  at <- match(words[3], c("athlete", "session", "trial"))
  held <- function(p) dev(append(p, as.numeric(words[4]), at - 1))
  starts <- list(c(1, 1, 1), c(1, 0.1, 0.5), c(0.3, 0.5, 1))
  list(excess = lowest(held, lapply(starts, function(v) s * v[-at])) - lowest(dev, lapply(starts, function(v) s * v)))
}

part <- function(v, of) { x <- v[v$grp == of, "vcov"]; if (length(x)) x else NA }

one <- function(d) {
  words <- strsplit(d$model[1], " ")[[1]]
  f <- formulas[[words[1]]]
  d$athlete <- factor(d$athlete, unique(d$athlete))
  d$session <- factor(d$session, sort(unique(as.integer(d$session))))
  if (nlevels(d$session) == 1 && words[1] == "scores") f <- formulas$scores_mean
  if (length(words) == 4) return(excess(d, f, words))
  if (length(words) > 1) {
    lmer(f, d[1:600, ], REML = TRUE) # loads everything that loads once
    return(list(seconds = min(replicate(5, system.time(lmer(f, d, REML = TRUE))[["elapsed"]]))))
  }
  m <- lmer(f, d, REML = TRUE, control = tight)
  v <- as.data.frame(VarCorr(m))
  out <- list(athlete = part(v, "athlete"), session = part(v, "athlete:session"), trial = part(v, "Residual"),
              criterion = REMLcrit(m), mean = unname(fixef(m)), se = unname(sqrt(diag(as.matrix(vcov(m))))))
  p <- tryCatch(suppressWarnings(confint(m, parm = "theta_", method = "profile", oldNames = FALSE, quiet = TRUE)), error = function(e) NULL)
  if (!is.null(p)) {
    name <- c("sd_(Intercept)|athlete" = "athlete", "sd_(Intercept)|athlete:session" = "session", "sigma" = "trial")
    for (i in seq_len(nrow(p))) out[[paste0("limits_", name[[rownames(p)[i]]])]] <- unname(p[i, ])
  }
  out
}

pastes <- data.frame(set = "Pastes", model = "nested_mean", athlete = as.character(as.integer(Pastes$batch)),
                     session = as.character(as.integer(Pastes$cask)), value = Pastes$strength)
sets <- unique(rows$set)
results <- lapply(sets, function(s) one(rows[rows$set == s, ]))
names(results) <- sets
results$Pastes <- c(one(pastes), list(data = list(athlete = as.integer(pastes$athlete), session = as.integer(pastes$session), value = pastes$value)))
cat(toJSON(list(r = R.version.string, lme4 = as.character(packageVersion("lme4")), sets = results),
           digits = NA, auto_unbox = TRUE, null = "list", na = "null"), "\n")
