# Added-value models of correlation_cohort.csv by R's lm.
#   Rscript models.R correlation_cohort.csv > models.csv
# The recorded models.csv is from R 4.2.2. R², sigma, F and limits by summary.lm,
# anova and confint; leave-one-out by fitting anew without each athlete; variance
# inflation by regressing each term on the others, that of the level by
# determinants of correlations; condition by singular values.
d <- read.csv(commandArgs(TRUE)[1], na.strings = "")
d <- d[complete.cases(d[c("speed", "level", "mass", "age", "throw", "jump", "pull", "sprint")]), ]
say <- function(form, model, name, value) cat(sprintf("%s,%s,%s,%.17g\n", form, model, name, value))
cat("form,model,name,value\n")

# The plane as one term: the mean of its standardised tests, better is higher.
z <- function(v) (v - mean(v)) / sd(v)
d$block <- (z(d$jump) + z(d$pull) - z(d$sprint)) / 3

loo <- function(terms) {
  press <- base <- 0
  for (i in seq_len(nrow(d))) {
    m <- lm(reformulate(terms, "speed"), d[-i, ])
    press <- press + (d$speed[i] - predict(m, d[i, ]))^2
    base <- base + (d$speed[i] - mean(d$speed[-i]))^2
  }
  c(press, 1 - press / base)
}

model <- function(form, name, terms) {
  m <- lm(reformulate(terms, "speed"), d); s <- summary(m)
  say(form, name, "r2", s$r.squared); say(form, name, "adjusted", s$adj.r.squared)
  say(form, name, "sigma", s$sigma); say(form, name, "df", m$df.residual)
  l <- loo(terms); say(form, name, "press", l[1]); say(form, name, "loo", l[2])
  stopifnot(abs(l[1] / sum((resid(m) / (1 - hatvalues(m)))^2) - 1) < 1e-9)
  x <- model.matrix(m)[, -1]
  k <- svd(scale(x))$d; say(form, name, "condition", max(k) / min(k))
  limits <- confint(m)
  indicators <- grep("^level", colnames(x))
  for (term in setdiff(colnames(x), colnames(x)[indicators])) {
    others <- x[, colnames(x) != term]
    say(form, name, paste0("vif ", term), 1 / (1 - summary(lm(x[, term] ~ others))$r.squared))
    say(form, name, paste0("b ", term), coef(m)[term]); say(form, name, paste0("p ", term), s$coefficients[term, 4])
    say(form, name, paste0("lower ", term), limits[term, 1]); say(form, name, paste0("upper ", term), limits[term, 2])
    say(form, name, paste0("persd ", term), coef(m)[term] * sd(x[, term]))
  }
  r <- cor(x)
  gvif <- det(r[indicators, indicators]) * det(r[-indicators, -indicators]) / det(r)
  say(form, name, "vif level", gvif^(1 / length(indicators)))
  m
}

base <- c("mass", "age", "level")
for (form in c("tests", "composite")) {
  sagittal <- if (form == "tests") c("jump", "pull", "sprint") else "block"
  m <- list(model(form, "0", base), model(form, "1", c(base, sagittal)),
            model(form, "2", c(base, sagittal, "throw")), model(form, "3", c(base, "throw")))
  steps <- list(c(1, 2), c(2, 3), c(1, 4), c(4, 3))
  for (k in 1:4) {
    a <- anova(m[[steps[[k]][1]]], m[[steps[[k]][2]]])
    say(form, paste0("step ", k - 1), "F", a$F[2]); say(form, paste0("step ", k - 1), "p", a$`Pr(>F)`[2])
    say(form, paste0("step ", k - 1), "df1", a$Df[2]); say(form, paste0("step ", k - 1), "df2", a$Res.Df[2])
  }
}
