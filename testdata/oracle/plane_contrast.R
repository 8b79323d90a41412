# Rotational against sagittal tests of correlation_cohort.csv: means of Fisher's z
# and their standard errors.
#   Rscript plane_contrast.R correlation_cohort.csv > plane_contrast.csv
# The recorded file is from R 4.2.2. The covariances do not use the formula of
# noisefloor (that of two correlations that share the outcome): they come from
# the covariances of normal sums of products, cov(s_ij, s_kl) = s_ik s_jl + s_il
# s_jk, as a dense matrix over all pairs of variables, carried to the z by a
# numerical derivative: J G J'. "partly" has gaps: every test its own athletes.
d <- read.csv(commandArgs(TRUE)[1], na.strings = "")
tests <- c("throw", "jump", "pull", "sprint")
d$sprint <- -d$sprint # lower is better
z <- function(s, p) { s <- matrix(s, p); s <- (s + t(s)) / 2; atanh(cov2cor(s)[1, -1]) }
# n times the covariance of the z of outcome (first) with the others.
gamma <- function(s) {
  p <- nrow(s); at <- expand.grid(i = 1:p, j = 1:p)
  G <- outer(seq_len(p^2), seq_len(p^2), Vectorize(function(a, b)
    s[at$i[a], at$i[b]] * s[at$j[a], at$j[b]] + s[at$i[a], at$j[b]] * s[at$j[a], at$i[b]]))
  J <- sapply(seq_len(p^2), function(a) {
    h <- 1e-5 * sqrt(s[at$i[a], at$i[a]] * s[at$j[a], at$j[a]]); e <- replace(numeric(p^2), a, h)
    (8 * (z(s + e, p) - z(s - e, p)) - (z(s + 2 * e, p) - z(s - 2 * e, p))) / (12 * h)
  })
  J %*% G %*% t(J)
}
say <- function(kind, name, value) cat(sprintf("%s,%s,%.17g\n", kind, name, value))
report <- function(kind, z, V) {
  w <- c(1, -1 / 3, -1 / 3, -1 / 3); b <- c(0, 1, 1, 1) / 3
  say(kind, "difference", sum(w * z)); say(kind, "se", sqrt(drop(t(w) %*% V %*% w)))
  say(kind, "z_b", sum(b * z)); say(kind, "se_b", sqrt(drop(t(b) %*% V %*% b)))
  say(kind, "se_a", sqrt(V[1, 1]))
}
cat("kind,name,value\n")
whole <- d[complete.cases(d[c("speed", "level", "mass", "age", tests)]), ]
s <- cov(whole[c("speed", tests)])
report("whole", z(s, 5), gamma(s) / (nrow(whole) - 3))
inside <- sapply(whole[c("speed", tests)], function(v) v - ave(v, whole$level))
s <- crossprod(inside)
report("within", z(s, 5), gamma(s) / (nrow(whole) - length(unique(whole$level)) + 1 - 3))
# Gaps: the covariance of two z is theirs among the athletes who have both, less
# in the share in which the athletes differ.
n <- sapply(tests, function(t) sum(complete.cases(d[c("speed", t)])))
zs <- sapply(tests, function(t) atanh(cor(d[[t]], d$speed, use = "complete.obs")))
V <- diag(1 / (n - 3))
for (i in 1:3) for (j in (i + 1):4) {
  b <- d[complete.cases(d[c("speed", tests[c(i, j)])]), c("speed", tests[c(i, j)])]
  V[i, j] <- V[j, i] <- gamma(cov(b))[1, 2] * (nrow(b) - 3) / ((n[i] - 3) * (n[j] - 3))
}
report("partly", zs, V)
