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
# and, with "time" after the model's name, only the seconds that one REML fit with
# lme4's own settings takes are added. Prints JSON: for each set the REML
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

part <- function(v, of) { x <- v[v$grp == of, "vcov"]; if (length(x)) x else NA }

one <- function(d) {
  words <- strsplit(d$model[1], " ")[[1]]
  f <- formulas[[words[1]]]
  d$athlete <- factor(d$athlete, unique(d$athlete))
  d$session <- factor(d$session, sort(unique(as.integer(d$session))))
  if (nlevels(d$session) == 1 && words[1] == "scores") f <- formulas$scores_mean
  if (length(words) > 1) {
    lmer(f, d[1:600, ], REML = TRUE) # loads everything that loads once
    return(list(seconds = system.time(lmer(f, d, REML = TRUE))[["elapsed"]]))
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
