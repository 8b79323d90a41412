# What R says about an invented cohort, for the test of the command line from
# end to end (internal/cli/cohort_test.go): lower-is-better and logarithmic
# measures, a dictionary, athletes without a level, missing sessions and unequal
# numbers of attempts.
#   Rscript cli_cohort.R > cli_cohort_attempts.csv             draws the table
#   Rscript cli_cohort.R cli_cohort_attempts.csv > cli_cohort.csv
# The recorded files are from R 4.2.2. R's routines where it has one: mean
# squares by aov, slopes by lm and confint, r by cor.test, partial r by the
# residuals of lm, adjusted p by p.adjust, tails by pt and qchisq, REML by
# lme4 1.1-31. Forms of the ICC from the mean squares: McGraw & Wong (1996).
# Printed as case, item, path of the JSON document, value.

draw <- function() {
  set.seed(20260114)
  part <- function(name, codes, levels, sessions, shift) {
    n <- length(codes)
    ability <- rnorm(n); mass <- 70 + 9 * rnorm(n); age <- sample(16:24, n, TRUE)
    rows <- list()
    for (i in 1:n) for (s in sessions) {
      if (name == "cohort" && paste(i, s) %in% c("2 1", "4 2", "9 3", "9 4", "13 3", "15 2", "18 4")) next
      day <- rnorm(1); late <- max(0, s - 2) * shift[i]
      truth <- function(m) switch(m,
        sprint = 1.9 * exp(-0.05 * ability[i] - 0.010 * (s - 1) - 0.04 * late + 0.015 * day),
        swing_time = 0.42 * exp(-0.06 * ability[i] + 0.05 * rnorm(1) - 0.02 * (s - 1) - 0.05 * late),
        throw = 11 + 1.3 * ability[i] + 0.02 * (mass[i] - 70) + 0.35 * (s - 1) + 0.8 * late + 0.3 * day,
        jump = 34 + 3.5 * ability[i] + 0.5 * (s - 1) + rnorm(1),
        ball_speed = 27 + 1.8 * ability[i] + 0.03 * (mass[i] - 70) + 0.4 * late + 0.5 * rnorm(1),
        body_mass = mass[i] + 0.4 * rnorm(1))
      for (m in c("sprint", "swing_time", "throw", "jump", "ball_speed", "body_mass")) {
        if (m == "jump" && i %% 7 == 3 && s == 2) next
        centre <- truth(m)
        for (k in seq_len(if (m == "body_mass") 1 else sample(1:3, 1))) {
          v <- switch(m, sprint = centre * exp(rnorm(1, 0, 0.02)), swing_time = centre * exp(rnorm(1, 0, 0.04)),
                      throw = centre + rnorm(1, 0, 0.4), jump = centre + rnorm(1, 0, 1.2), ball_speed = centre + rnorm(1, 0, 0.5), centre)
          digits <- c(sprint = 3, swing_time = 4, throw = 2, jump = 1, ball_speed = 2, body_mass = 1)[[m]]
          rows[[length(rows) + 1]] <- data.frame(part = name, athlete = codes[i], level = levels[i], age = age[i], session = s, trial = k,
                                                 measure = m, value = round(v, digits))
        }
      }
    }
    do.call(rbind, rows)
  }
  level <- rep(c("academy", "club", "", "club", "academy"), c(4, 5, 5, 4, 4))
  cohort <- part("cohort", sprintf("P%02d", 1:22), level, 1:4, rep(c(0, 0, 1), length.out = 22))
  study <- part("study", sprintf("S%02d", 1:14), rep("", 14), 1:2, rep(0, 14))
  write.csv(rbind(cohort, study), row.names = FALSE, quote = FALSE)
}
if (length(commandArgs(TRUE)) == 0) { draw(); quit() }

attempts <- read.csv(commandArgs(TRUE)[1], colClasses = c(athlete = "character", level = "character", session = "character"))
lower <- c("sprint", "swing_time"); logs <- c("sprint", "swing_time")
plane <- c(sprint = "sagittal", jump = "sagittal", throw = "transverse", swing_time = "transverse")
dictionary <- c(sprint = 0.03)                                  # worthwhile, in the unit
tests <- c("sprint", "swing_time", "throw", "jump", "ball_speed") # all but the covariate

case <- ""
say <- function(item, path, value) for (v in value) if (is.character(v) || is.finite(v))
  cat(sprintf("%s,%s,%s,%s\n", case, item, path, if (is.character(v)) sprintf('"%s"', v) else sprintf("%.13g", v)))
span <- function(item, path, e) { say(item, paste0(path, "estimate"), e[1]); say(item, paste0(path, "lower"), e[2]); say(item, paste0(path, "upper"), e[3]) }
cat("case,item,path,value\n")

# athletes by sessions
scores <- function(part, m, sessions, how = mean) {
  d <- attempts[attempts$part == part, ]
  who <- unique(d$athlete); d <- d[d$measure == m, ]
  x <- tapply(d$value, list(factor(d$athlete, who), factor(d$session, sessions)), how)
  matrix(x, length(who), length(sessions), dimnames = list(who, sessions))
}
best <- function(m) if (m %in% lower) min else max
ln <- function(m, x) if (m %in% logs) log(x) else x
of <- function(part, column) { d <- attempts[attempts$part == part, ]; d[match(unique(d$athlete), d$athlete), column] }
meanOf <- function(x) { v <- rowMeans(x, na.rm = TRUE); v[is.nan(v)] <- NA; v }
pct <- function(d) 100 * expm1(d)

# the study of one measure, on its scale
study <- function(m, x, level = 0.95) {
  all <- ln(m, x); y <- all[complete.cases(all), , drop = FALSE]
  n <- nrow(y); k <- ncol(y)
  d <- data.frame(v = as.vector(y), a = factor(rep(1:n, k)), s = factor(rep(1:k, each = n)))
  ms <- summary(aov(v ~ a + s, d))[[1]][["Mean Sq"]]
  r <- ms[1]; c <- ms[2]; e <- ms[3]; df <- (n - 1) * (k - 1); te <- sqrt(e); q <- c((1 + level) / 2, (1 - level) / 2)
  true <- sqrt(max(0, (r - e) / k))
  worth <- if (m %in% names(dictionary)) log1p(dictionary[[m]] / exp(mean(all, na.rm = TRUE))) else 0.2 * true
  list(n = n, k = k, mean = mean(y), msr = r, msc = c, mse = e, df = df, te = c(te, te * sqrt(df / qchisq(q, df))),
       detectable = qt((1 + level) / 2, df) * sqrt(2) * te, true = true, worth = worth, y = y,
       trials = NA, c1 = (r - e) / (r + (k - 1) * e), ck = (r - e) / r,
       a1 = (r - e) / (r + (k - 1) * e + k * (c - e) / n), ak = (r - e) / (r + (c - e) / n))
}

report <- function(item, m, x) {
  s <- study(m, x)
  say(item, "athletes", s$n); say(item, "sessions", s$k); say(item, "mean", s$mean)
  say(item, "scale", if (m %in% logs) "log" else "raw")
  say(item, "mean_squares.athletes", s$msr); say(item, "mean_squares.sessions", s$msc); say(item, "mean_squares.error", s$mse)
  span(item, "typical_error.", s$te); say(item, "typical_error.df", s$df)
  span(item, "typical_error_percent.", if (m %in% logs) pct(s$te) else 100 * s$te / s$mean)
  say(item, "detectable_change.estimate", s$detectable)
  if (m %in% logs) { say(item, "detectable_change.percent_up", pct(s$detectable)); say(item, "detectable_change.percent_down", pct(-s$detectable)) }
  say(item, "true_sd", s$true)
  for (f in list(c("A,1", s$a1), c("A,k", s$ak), c("C,1", s$c1), c("C,k", s$ck))) say(item, paste0("icc.", sub(",", "", f[1]), ".estimate"), as.numeric(f[2]))
  s
}

groups <- function(run) {
  level <- of("cohort", "level")
  for (m in tests) { run(m, m, rep(TRUE, length(level))); for (g in c("academy", "club")) run(paste0(m, "@", g), m, level == g) }
}
early <- c("1", "2", "3")
case <- "reliability"
groups(function(item, m, rows) {
  s <- report(item, m, scores("cohort", m, early)[rows, ])
  if (!(m %in% names(dictionary))) say(item, "worthwhile_change.estimate", s$worth)
})
# the dictionary's 0.03 s in percent of the geometric mean of every score of the table
for (item in c("sprint", "sprint@academy", "sprint@club")) {
  w <- study("sprint", scores("cohort", "sprint", early))$worth
  say(item, "worthwhile_change.estimate", w); say(item, "worthwhile_change.percent_up", pct(w)); say(item, "worthwhile_change.percent_down", pct(-w))
}

case <- "reliability-all" # the default: every score counts, by REML
suppressPackageStartupMessages(library(lme4))
tight <- lmerControl(calc.derivs = FALSE, optCtrl = list(xtol_abs = 1e-12, xtol_rel = 0, ftol_abs = 0, ftol_rel = 1e-16, maxeval = 100000))
for (m in tests) {
  y <- ln(m, scores("cohort", m, early))
  d <- data.frame(v = as.vector(y), a = factor(rep(rownames(y), 3)), s = factor(rep(early, each = nrow(y))))
  v <- as.data.frame(VarCorr(lmer(v ~ s + (1 | a), d, control = tight)))$vcov
  say(m, "athletes", sum(rowSums(!is.na(y)) > 0)); say(m, "typical_error.estimate", sqrt(v[2])); say(m, "true_sd", sqrt(v[1]))
  say(m, "icc.C1.estimate", v[1] / sum(v)); say(m, "icc.Ck.estimate", v[1] / (v[1] + v[2] / 3))
}

case <- "anchored"
groups(function(item, m, rows) {
  if (!(m %in% c("sprint", "throw"))) return()
  y <- ln(m, scores("cohort", m, early)); y[!complete.cases(y), ] <- NA
  d <- data.frame(y = rowMeans(y), x = meanOf(scores("cohort", "ball_speed", early)))[rows, ]
  f <- lm(y ~ x, d); b <- c(coef(f)[2], confint(f)[2, ]); if (b[1] < 0) b <- -b[c(1, 3, 2)]
  span(item, "worthwhile_change.", b)
})

# changes of single athletes
judge <- function(m, x, noise, worth, base, follow, level, narrow, regression) {
  out <- list(); v <- ln(m, x); se1 <- noise$te[1]
  for (f in follow) for (a in rownames(x)) {
    from <- base[!is.na(v[a, base])]
    if (length(from) == 0 || is.na(v[a, f])) next
    b <- mean(v[a, from]); d <- v[a, f] - b; se <- se1 * sqrt(1 / length(from) + 1); df <- noise$df
    t <- qt((1 + level) / 2, df) * se; near <- qt((1 + narrow) / 2, df) * se
    real <- abs(d) > t; past <- d - t > worth || d + t < -worth; small <- d - t > -worth && d + t < worth
    good <- if (d > 0) !(m %in% lower) else m %in% lower
    r <- length(from) * max(0, noise$c1) / (1 + (length(from) - 1) * max(0, noise$c1)); back <- (1 - r) * (noise$mean - b)
    raw <- function(z) if (m %in% logs) exp(z) else z
    out[[length(out) + 1]] <- list(item = paste(m, a, f, sep = "/"), p = 2 * pt(-abs(d / se), df), real = real, log = m %in% logs, e = c(d, d - t, d + t), num = c(
      baseline = raw(b), follow_up = raw(v[a, f]), change = d, lower = d - t, upper = d + t, narrow.estimate = d, narrow.lower = d - near, narrow.upper = d + near,
      se = se, df = df, detectable = t, worthwhile = worth,
      chance_flat.above = pt((d - worth) / se, df), chance_flat.below = pt((-worth - d) / se, df), chance_flat.within = pt((worth - d) / se, df) - pt((-worth - d) / se, df),
      past_noise = as.numeric(real), if (regression) c(expected_by_regression = back, beyond_regression.estimate = d - back,
        beyond_regression.lower = d - back - t, beyond_regression.upper = d - back + t)),
      matters = if (past) "yes" else if (small) "no" else "unclear",
      text = c(direction = if (d > 0) "rise" else if (d < 0) "fall" else "none", if (d != 0) c(better = if (good) "better" else "worse"),
        from.0 = from[1]))
  }
  out
}
tell <- function(changes, level, only = NULL) {
  p <- sapply(changes, `[[`, "p"); holm <- p.adjust(p, "holm"); bh <- p.adjust(p, "BH")
  for (i in seq_along(changes)) {
    c <- changes[[i]]
    for (n in if (is.null(only)) names(c$num) else only) say(c$item, n, c$num[[n]])
    for (n in names(c$text)) say(c$item, n, c$text[[n]])
    if (c$log && is.null(only)) span(c$item, "percent.", pct(c$e))
    say(c$item, "p", p[i]); say(c$item, "p_holm", holm[i]); say(c$item, "p_bh", bh[i]); say(c$item, "stands_out", as.numeric(bh[i] <= 1 - level))
    say(c$item, "matters", c$matters)
    say(c$item, "verdict", if (bh[i] <= 1 - level) c(yes = "stands out and matters", no = "stands out, too small to matter", unclear = "stands out, may matter")[[c$matters]]
      else if (c$real) "past the noise on its own" else if (c$matters == "no") "steady: too small to matter either way" else "inside the noise")
  }
  say("", "family.changes", length(p)); say("", "family.past_noise", sum(sapply(changes, `[[`, "real")))
  say("", "family.stand_out", sum(bh <= 1 - level)); say("", "family.expected_false_alarms", length(p) * (1 - level))
}
case <- "retest" # --noise-from 1,2 --confidence 0.9 --narrow 0.5 --regression --measure sprint,throw --score median
changes <- list()
for (m in c("sprint", "throw")) {
  s <- study(m, scores("cohort", m, c("1", "2"), median), 0.9)
  changes <- c(changes, judge(m, scores("cohort", m, 1:4, median), s, s$worth, c("1", "2"), c("3", "4"), 0.9, 0.5, TRUE))
}
tell(changes, 0.9)
case <- "retest-file" # the study's best attempts; --baseline 2 --worthwhile fixed:2 --measure sprint,jump
changes <- list()
for (m in c("sprint", "jump")) {
  s <- study(m, scores("study", m, 1:2, best(m)))
  changes <- c(changes, judge(m, scores("cohort", m, 1:4, best(m)), s, if (m %in% logs) log1p(0.02) else 2, "2", c("3", "4"), 0.95, 0.8, FALSE))
}
some <- c("baseline", "follow_up", "change", "lower", "upper", "narrow.lower", "narrow.upper", "df", "worthwhile", "chance_flat.above", "chance_flat.below")
tell(changes, 0.95, some)
case <- "retest-dictionary" # a study without a worthwhile change or components: the dictionary's stands
s <- study("sprint", scores("study", "sprint", 1:2))
tell(judge("sprint", scores("cohort", "sprint", 1:4), s, log1p(dictionary[["sprint"]] / exp(s$mean)), "1", "4", 0.95, 0.8, FALSE), 0.95, some)

# the outcome and the tests
correlate <- function(name, by, reliability) {
  case <<- name
  value <- sapply(c(tests, "body_mass"), function(m) meanOf(scores("cohort", m, early)))
  d <- data.frame(value, age = of("cohort", "age"), level = of("cohort", "level"))
  four <- names(plane); pearson <- list(); partial <- list(); within <- list()
  say("", "athletes", sum(!is.na(d$ball_speed))); say("", "family", length(four))
  left <- function(d, m, model) cor(resid(lm(reformulate(model, m), d)), resid(lm(reformulate(model, "ball_speed"), d)))
  p <- function(d, m, model) coef(summary(lm(reformulate(c(m, model), "ball_speed"), d)))[m, 4]
  r <- sapply(four, function(m) cor(d[[m]], d$ball_speed, use = "complete.obs"))
  named <- d[d$level != "", ]
  ps <- list(pearson = sapply(four, function(m) cor.test(d[[m]], d$ball_speed)$p.value), partial = sapply(four, function(m) p(d, m, c("age", "body_mass"))),
             spearman = sapply(four, function(m) suppressWarnings(cor.test(d[[m]], d$ball_speed, method = "spearman", exact = FALSE))$p.value),
             within_level = if (by) sapply(four, function(m) p(named, m, "level")))
  for (m in four) {
    h <- cor.test(d[[m]], d$ball_speed)
    say(m, "n", h$parameter + 2); say(m, "plane", plane[[m]]); span(m, "pearson.", c(h$estimate, h$conf.int)); say(m, "pearson.df", h$parameter)
    say(m, "spearman.estimate", cor(d[[m]], d$ball_speed, use = "complete.obs", method = "spearman"))
    f <- lm(reformulate(m, "ball_speed"), d); span(m, "slope.", c(coef(f)[2], confint(f)[2, ]))
    say(m, "partial.estimate", left(d, m, c("age", "body_mass")))
    if (by) { say(m, "within_level.estimate", left(named, m, "level")); say(m, "within_level.n", nrow(named))
      say(m, "within_level.levels.0.estimate", with(named[named$level == "academy", ], cor(get(m), ball_speed)))
      say(m, "within_level.levels.1.estimate", with(named[named$level == "club", ], cor(get(m), ball_speed))) }
    for (kind in names(ps)) if (length(ps[[kind]])) { say(m, paste0(kind, ".p"), ps[[kind]][[m]])
      say(m, paste0(kind, ".p_holm"), p.adjust(ps[[kind]], "holm")[[m]]); say(m, paste0(kind, ".p_bh"), p.adjust(ps[[kind]], "BH")[[m]]) }
    rx <- reliability(m); ry <- reliability("ball_speed")
    say(m, "corrected.reliability_test", rx); say(m, "corrected.reliability_outcome", ry); say(m, "corrected.estimate", r[[m]] / sqrt(rx * ry))
  }
  sign <- ifelse(four %in% lower, -1, 1); names(sign) <- four
  for (a in c("swing_time", "throw")) for (b in c("sprint", "jump")) {
    item <- paste(a, b, sep = "/")
    say(item, "r_a", sign[[a]] * r[[a]]); say(item, "r_b", sign[[b]] * r[[b]]); say(item, "r_ab", sign[[a]] * sign[[b]] * cor(d[[a]], d[[b]], use = "complete.obs"))
    say(item, "difference", sign[[a]] * r[[a]] - sign[[b]] * r[[b]]); say(item, "turned_a", as.numeric(sign[[a]] < 0)); say(item, "turned_b", as.numeric(sign[[b]] < 0))
  }
}
plain <- function(part, m, sessions) { # mean squares on the raw scale
  keep <- logs; logs <<- character(); s <- study(m, scores(part, m, sessions)); logs <<- keep; s
}
correlate("correlate", TRUE, function(m) plain("cohort", m, early)$ck)
# --by none, the study's reliability of one session stepped up to the mean of three
correlate("correlate-file", FALSE, function(m) { r <- study(m, scores("study", m, 1:2))$c1; 3 * r / (1 + 2 * r) })
