# What R says about the correlations of correlation_cohort.csv.
#   Rscript within_level.R correlation_cohort.csv > within_level.csv
# The recorded within_level.csv is from R 4.2.2. Nothing here uses a formula of
# noisefloor where R has a routine of its own: r, limits and p by cor.test;
# partial r by the residuals of lm, and its p by the t test of the coefficient in
# the whole model, which has its own count of degrees of freedom; the same for
# within level with indicator columns; slope and limits by lm and confint.
d <- read.csv(commandArgs(TRUE)[1], na.strings = "")
say <- function(test, kind, name, value)
  cat(sprintf("%s,%s,%s,%.17g\n", test, kind, name, value))
cat("test,kind,name,value\n")

# r of the residuals of x and y on the model, with R's p and df.
adjusted <- function(test, kind, d, model) {
  x <- resid(lm(reformulate(model, test), d))
  y <- resid(lm(reformulate(model, "speed"), d))
  r <- sum(x * y) / sqrt(sum(x^2) * sum(y^2))
  whole <- lm(reformulate(c(test, model), "speed"), d)
  df <- df.residual(whole)
  say(test, kind, "n", nrow(d)); say(test, kind, "r", r); say(test, kind, "df", df)
  say(test, kind, "p", coef(summary(whole))[test, "Pr(>|t|)"])
  # Fisher's standard error of a partial correlation: 1/sqrt(df - 1).
  say(test, kind, "lower", tanh(atanh(r) - qnorm(0.975) / sqrt(df - 1)))
  say(test, kind, "upper", tanh(atanh(r) + qnorm(0.975) / sqrt(df - 1)))
  r
}

for (test in c("throw", "jump", "pull", "sprint")) {
  a <- d[complete.cases(d[c(test, "speed")]), ]
  h <- cor.test(a[[test]], a$speed)
  say(test, "pearson", "n", nrow(a)); say(test, "pearson", "r", h$estimate)
  say(test, "pearson", "df", h$parameter); say(test, "pearson", "p", h$p.value)
  say(test, "pearson", "lower", h$conf.int[1]); say(test, "pearson", "upper", h$conf.int[2])
  h <- cor.test(a[[test]], a$speed, method = "spearman", exact = FALSE)
  say(test, "spearman", "r", h$estimate); say(test, "spearman", "p", h$p.value)
  m <- lm(reformulate(test, "speed"), a)
  say(test, "slope", "value", coef(m)[2])
  say(test, "slope", "lower", confint(m)[2, 1]); say(test, "slope", "upper", confint(m)[2, 2])
  # The band of the mean at both ends of the line.
  ends <- setNames(data.frame(range(a[[test]])), test)
  band <- predict(m, ends, interval = "confidence")
  for (i in 1:2) for (v in colnames(band)) say(test, "line", paste0(v, i), band[i, v])

  adjusted(test, "partial", a[complete.cases(a[c("mass", "age")]), ], c("mass", "age"))

  b <- a[!is.na(a$level), ]
  adjusted(test, "within", b, "level")
  say(test, "within", "across", cor(b[[test]], b$speed))
  each <- sapply(split(b, b$level), function(g) c(cor.test(g[[test]], g$speed)$estimate, nrow(g)))
  for (g in colnames(each)) say(test, "within", g, each[1, g])
  # Equal r in all levels: deviance of a weighted mean of Fisher's z.
  z <- lm(atanh(each[1, ]) ~ 1, weights = each[2, ] - 3)
  say(test, "within", "homogeneity", deviance(z))
  say(test, "within", "homogeneity_p", pchisq(deviance(z), df.residual(z), lower.tail = FALSE))
}
