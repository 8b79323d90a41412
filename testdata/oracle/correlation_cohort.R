# Makes correlation_cohort.csv: an invented cohort of three levels, with ties,
# missing cells and one athlete without a level. Run once, R 4.2.2:
#   Rscript correlation_cohort.R > correlation_cohort.csv
set.seed(20251125)
n <- 60
level <- rep(c("Academy", "County", "School"), c(18, 22, 20))
shift <- c(Academy = 6, County = 12, School = 0)[level]
mass <- round(68 + shift + rnorm(n, 0, 7), 1)
age <- round(15 + shift / 2 + runif(n, 0, 3), 1)
throw <- round(8 + 0.25 * shift + 0.05 * (mass - 75) + rnorm(n, 0, 1.1), 2)
jump <- round(30 + 0.5 * shift + rnorm(n, 0, 4), 1)
pull <- round(20 + 0.1 * mass + rnorm(n, 0, 3))            # whole numbers: ties
sprint <- round(1.95 - 0.006 * (jump - 30) + rnorm(n, 0, 0.06), 2)
speed <- round(22 + 0.9 * (throw - 8) + 0.2 * shift + 0.03 * (mass - 75) + rnorm(n, 0, 1.2), 1)
throw[c(3, 41)] <- NA; jump[17] <- NA; speed[29] <- NA; mass[50] <- NA
level[11] <- NA
write.csv(data.frame(athlete = sprintf("P%02d", 1:n), level, speed, mass, age, throw, jump, pull, sprint),
          row.names = FALSE, quote = FALSE, na = "")
