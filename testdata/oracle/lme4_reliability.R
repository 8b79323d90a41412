# Reliability of complete tables by R: mean squares from aov, intraclass
# correlations from mixed models fitted by lme4 (REML).
#
#   Rscript lme4_reliability.R scores.csv
#
# scores.csv: columns athlete, session, value and, if there are several,
# measure; one session score per row, every athlete in every session. Prints
# JSON: for each measure n, k, msr, msc, mse, msw, and
#   consistency  value ~ session + (1 | athlete):        var_athlete, var_residual, icc
#   agreement    value ~ (1 | athlete) + (1 | session):  var_athlete, var_session, var_residual, icc
# On a balanced table REML equals the ANOVA estimates while these are positive.
suppressPackageStartupMessages({
  library(lme4)
  library(jsonlite)
})

scores <- read.csv(commandArgs(trailingOnly = TRUE)[1],
                   colClasses = c(athlete = "character", session = "character", value = "numeric"))
if (is.null(scores$measure)) scores$measure <- "value"

tight <- lmerControl(optimizer = "nloptwrap", calc.derivs = FALSE,
                     check.conv.singular = "ignore",
                     optCtrl = list(xtol_abs = 1e-12, xtol_rel = 0, ftol_abs = 0, ftol_rel = 1e-16, maxeval = 100000))

variances <- function(formula, d) {
  v <- as.data.frame(VarCorr(lmer(formula, d, REML = TRUE, control = tight)))
  out <- as.list(v$vcov)
  names(out) <- paste0("var_", tolower(v$grp))
  out$icc <- out$var_athlete / sum(v$vcov)
  out
}

one <- function(d) {
  d$athlete <- factor(d$athlete, unique(d$athlete))
  d$session <- factor(d$session, unique(d$session))
  stopifnot(all(table(d$athlete, d$session) == 1))
  two <- summary(aov(value ~ athlete + session, d))[[1]][["Mean Sq"]]
  within <- summary(aov(value ~ athlete, d))[[1]][["Mean Sq"]]
  list(n = nlevels(d$athlete), k = nlevels(d$session),
       msr = two[1], msc = two[2], mse = two[3], msw = within[2],
       consistency = variances(value ~ session + (1 | athlete), d),
       agreement = variances(value ~ (1 | athlete) + (1 | session), d))
}

measures <- unique(scores$measure)
results <- lapply(measures, function(m) one(scores[scores$measure == m, ]))
names(results) <- measures
cat(toJSON(list(r = R.version.string, lme4 = as.character(packageVersion("lme4")), measures = results),
           digits = NA, auto_unbox = TRUE, pretty = TRUE), "\n")
