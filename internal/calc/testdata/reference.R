# Makes survival_tests.csv, survival.csv, proportion.csv, spread_tests.csv,
# spread.csv and spread_reml.csv with R. See README.md.

suppressMessages({library(survival); library(nlme)})
options(digits = 15, scipen = 20)
set.seed(20240229, kind = "Mersenne-Twister", normal.kind = "Inversion", sample.kind = "Rejection")
save <- function(x, name) write.csv(x, name, row.names = FALSE, quote = FALSE, na = "")

# Kaplan–Meier with Greenwood errors and log–log limits.
remission <- data.frame(set = "remission", # Freireich et al., Blood 21 (1963) 699, treated arm
  time = c(6, 6, 6, 7, 10, 13, 16, 22, 23, 6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35),
  shown = rep(c(1, 0), c(9, 12)))
ties <- data.frame(set = "ties", time = pmin(ceiling(4 * rexp(60, 0.3)) / 4, rep(c(5, 10, 30), 20)))
ties$shown <- as.integer(!(ties$time %in% c(5, 10, 30)))
all <- data.frame(set = "all shown", time = round(rexp(12, 0.5), 1) + 0.1, shown = 1)
tests <- rbind(remission, ties, all)
save(tests, "survival_tests.csv")
steps <- do.call(rbind, lapply(unique(tests$set), function(s) {
  do.call(rbind, lapply(c(0.8, 0.95), function(confidence) {
    fit <- summary(survfit(Surv(time, shown) ~ 1, data = tests[tests$set == s, ],
                           conf.type = "log-log", conf.int = confidence))
    data.frame(set = s, confidence = confidence, time = fit$time, at_risk = fit$n.risk, shown = fit$n.event,
               not_shown = fit$surv, std_err = fit$std.err, low = fit$lower, high = fit$upper)
  }))
}))
save(steps, "survival.csv")

# Clopper–Pearson and Wilson limits.
counts <- data.frame(events = c(81, 15, 0, 1, 1, 0, 29, 7, 9, 22, 500, 999999),
                     n = c(263, 148, 20, 29, 1, 1, 29, 10, 10, 22, 1000, 1000000))
proportion <- do.call(rbind, lapply(c(0.8, 0.95, 0.99), function(confidence) {
  exact <- t(mapply(function(k, n) binom.test(k, n, conf.level = confidence)$conf.int, counts$events, counts$n))
  wilson <- t(mapply(function(k, n) suppressWarnings(prop.test(k, n, conf.level = confidence, correct = FALSE))$conf.int,
                     counts$events, counts$n))
  data.frame(counts, confidence = confidence, exact_low = exact[, 1], exact_high = exact[, 2],
             wilson_low = wilson[, 1], wilson_high = wilson[, 2])
}))
save(proportion, "proportion.csv")

# Repeatability and reproducibility: unequal counts, testers within combinations.
cells <- data.frame(combination = c("a", "a", "a", "b", "b", "c", "c", "c", "c", "d", "e"),
                    tester = c("p", "q", "r", "p", "s", "p", "q", "s", "t", "q", "r"),
                    n = c(3, 1, 4, 2, 2, 5, 3, 1, 2, 4, 1))
cells$centre <- log(c(1, 1, 1, 8, 8, 3, 3, 3, 3, 0.4, 5)) + rnorm(nrow(cells), 0, 0.15)
repeats <- cells[rep(seq_len(nrow(cells)), cells$n), c("combination", "tester", "centre")]
repeats$time <- signif(exp(repeats$centre + rnorm(nrow(repeats), 0, 0.1)), 4)
repeats$centre <- NULL
even <- data.frame(combination = "Rail", tester = as.character(Rail$Rail), time = Rail$travel) # nlme's data, as it stands
save(rbind(cbind(set = "bench", repeats), cbind(set = "rails", even)), "spread_tests.csv")

# Mean squares from anova(); limits by the formulas named beside MeasureSpread, with R's quantiles.
components <- function(d, confidence) {
  table <- if (length(unique(d$combination)) > 1) anova(lm(y ~ combination / tester, d))[-1, ] else anova(lm(y ~ tester, d))
  df <- table$Df; ms <- table$"Mean Sq"
  counts <- aggregate(y ~ tester + combination, d, length)
  size <- sum(tapply(counts$y, counts$combination, function(n) sum(n) - sum(n^2) / sum(n))) / df[1]
  hand <- max(0, (ms[1] - ms[2]) / size)
  p <- c(0.5 + confidence / 2, 0.5 - confidence / 2)
  limits <- function(v, df) sqrt(v * df / qchisq(p, df))
  a <- ms[1] / size; b <- ms[2] * (1 - 1 / size)
  rbind(repeatability = c(sqrt(ms[2]), limits(ms[2], df[2])),
        between_testers = c(sqrt(hand), sqrt(pmax(0, (ms[1] - qf(p, df[1], df[2]) * ms[2]) * df[1] / (size * qchisq(p, df[1]))))),
        reproducibility = c(sqrt(ms[2] + hand), limits(a + b, (a + b)^2 / (a^2 / df[1] + b^2 / df[2]))))
}
bench <- components(transform(repeats, y = log(time)), 0.9)
rails <- components(transform(even, y = time), 0.95)
spread <- rbind(data.frame(set = "bench", confidence = 0.9, what = rownames(bench), bench),
                data.frame(set = "rails", confidence = 0.95, what = rownames(rails), rails))
names(spread)[4:6] <- c("value", "low", "high")
save(spread, "spread.csv")

# The same by maximum likelihood: for even counts REML gives the analysis of variance.
reml <- lme(travel ~ 1, random = ~ 1 | Rail, data = Rail)
stopifnot(abs(reml$sigma - rails["repeatability", 1]) < 1e-4,
          abs(as.numeric(VarCorr(reml)[1, "StdDev"]) - rails["between_testers", 1]) < 1e-3)
# By REML for unequal counts as well, where it is another estimate than the analysis
# of variance and only near it: our drawn set, and the demo community's log.
demo <- subset(read.csv("../../../config/demo/tests.csv"), outcome == "flashback" & seconds > 0)
demo <- data.frame(combination = paste(demo$product, demo$instrument, demo$syringe, demo$pull_ml), tester = demo$member, time = demo$seconds)
by_reml <- function(d) {
  d <- transform(d, y = log(time), combination = factor(combination), cell = factor(paste(combination, tester)))
  m <- lme(y ~ combination, random = ~ 1 | cell, data = d)
  c(tests = nrow(d), repeatability = m$sigma, between_testers = as.numeric(VarCorr(m)[1, "StdDev"]))
}
save(data.frame(set = c("bench", "demo"), rbind(by_reml(repeats), by_reml(demo))), "spread_reml.csv")
cat("survival", format(packageVersion("survival")), " nlme", format(packageVersion("nlme")), " R", format(getRversion()), "\n")
