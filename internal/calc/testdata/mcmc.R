# Makes mcmc_shares.csv and mcmc_slips.csv from mcmc_tests.csv: the estimate again,
# by a general-purpose sampler (JAGS) instead of grids.
#
#   apt-get install jags r-cran-rjags r-cran-coda
#   Rscript --vanilla mcmc.R        (about a quarter of an hour)
#
# Nothing is shared with the Go code but the model as written: exit times come from
# R's integrate, products and departures from the sampler. Errors are Monte Carlo
# standard errors from 50 batches.

suppressMessages(library(rjags))
options(digits = 10, scipen = 20)

class_prior <- rbind(
  "soft HA"   = c(K = 28, sK = 0.5, n = 0.40, sn = 0.06, y = 12, sy = 0.8),
  "medium HA" = c(45, 0.5, 0.36, 0.05, 30, 0.7),
  "firm HA"   = c(65, 0.5, 0.31, 0.05, 55, 0.6))
sd_combination <- 0.15; sd_hand <- 0.08; sd_rest <- 0.12; sd_test <- sqrt(sd_hand^2 + sd_rest^2)
odd_share <- 0.05; sd_odd <- 1; sd_lot <- 0.07
hub_mm <- 5; p_atm <- 101325; p_vap <- 2339

# ln of the suction that brings the liquid out after a time: with phi the yield
# stress over the wall stress, w = ln(tau_y/K) + n ln(t R/L) = ln phi + n ln G(phi, n),
# so that ln phi over w is one table for each n.
exit_shape <- function(phi, n) { # G by z = -ln(1 - phi u), u the part of the tube still full of gel
  f <- function(z) {
    v <- -expm1(-z)
    B <- (1 - v)^2 / (3 * n + 1) + 2 * v * (1 - v) / (2 * n + 1) + v^2 / (n + 1)
    exp((log(v / phi) + z) / n) / (phi * n * B)
  }
  end <- -log1p(-phi)
  cuts <- unique(c(seq(0, end, length.out = 1 + ceiling(end))))
  sum(mapply(function(a, b) integrate(f, a, b, rel.tol = 1e-9, stop.on.error = FALSE)$value, head(cuts, -1), tail(cuts, -1)))
}
w_from <- -16; w_step <- 0.05; w_count <- 521
table_for <- function(n) {
  phi <- plogis(seq(-18, 14, by = 0.05))
  w <- sapply(phi, function(p) log(p) + n * log(exit_shape(p, n)))
  splinefun(w, log(phi), method = "monoH.FC")(w_from + w_step * (0:(w_count - 1)))
}

model <- "
model {
  n ~ dnorm(n_mean, pow(n_sd, -2)) T(n_from, n_last)            # the class's range, within 0.12 ... 1
  b ~ dnorm(lnK_mean - slope * (n - n_mean), pow(lnK_sd, -2))   # ln K less what n trades it for
  lnK <- b + slope * (n - n_mean)
  lnY ~ dnorm(lnY_mean, pow(lnY_sd, -2))
  for (j in 1:setups) {
    odd[j] ~ dbern(odd_share)
    delta[j] ~ dnorm(0, pow(odd[j] * sd_odd + (1 - odd[j]) * sd_combination, -2))
  }
  for (h in 1:hands) { u[h] ~ dnorm(0, pow(sd_hand, -2)) }                   # one for each hand on each set-up
  row <- trunc((n - n_from) / n_step) + 1
  up <- (n - n_from) / n_step + 1 - row
  for (i in 1:tests) {
    for (e in 1:2) {
      w[i, e] <- min(max(lnY - lnK + n * (ln_time[i, e] + aspect[i]), w_from), w_last)
      col[i, e] <- trunc((w[i, e] - w_from) / w_step) + 1
      along[i, e] <- (w[i, e] - w_from) / w_step + 1 - col[i, e]
      ln_phi[i, e] <- (1 - up) * ((1 - along[i, e]) * tab[row, col[i, e]] + along[i, e] * tab[row, col[i, e] + 1]) +
                      up * ((1 - along[i, e]) * tab[row + 1, col[i, e]] + along[i, e] * tab[row + 1, col[i, e] + 1])
      shown[i, e] <- phi((suction[i] - (log(2) - aspect[i] + lnY - ln_phi[i, e]) + delta[setup[i]] + u[hand[i]]) / sd_rest)
    }
    p[i] <- 0.98 * ((1 - none[i]) * shown[i, 2] + none[i] - shown[i, 1]) + 0.02 * slip[i]
    ones[i] ~ dbern(p[i])
    slipped[i] <- 0.02 * slip[i] / p[i]
  }
}"

suction <- function(pull, gas) log(p_atm - max(p_vap, p_atm * gas / (gas + pull)))
batches <- 50
batch_error <- function(x, f) sd(sapply(split(x, rep(1:batches, each = length(x) / batches)), f)) / sqrt(batches)

tests <- read.csv("mcmc_tests.csv")
shares <- slips <- NULL
for (name in unique(tests$set)) {
  d <- tests[tests$set == name, ]
  prior <- as.list(class_prior[d$gel_class[1], ])
  n_step <- 0.01
  n_from <- max(0.12, round(prior$n - 5 * prior$sn, 2)); n_last <- round(prior$n + 5.5 * prior$sn, 2)
  tab <- t(sapply(seq(n_from, n_last + n_step, by = n_step), table_for))
  key <- paste(d$bore_mm, d$exposed_mm, d$gas_ml); setups <- unique(key)
  by_hand <- paste(key, d$hand)
  none <- is.na(d$to_s)
  lo <- pmax(d$from_s, 0.05); hi <- pmin(ifelse(none, 120, d$to_s), 120)
  aspect <- log(d$bore_mm / 2 / (d$exposed_mm + hub_mm))
  data <- list(n_mean = prior$n, n_sd = prior$sn, lnK_mean = log(prior$K), lnK_sd = prior$sK, lnY_mean = log(prior$y), lnY_sd = prior$sy,
    slope = mean(log(d$from_s) + aspect), setups = length(setups), tests = nrow(d), setup = match(key, setups),
    n_from = n_from, n_last = n_last, n_step = n_step, w_from = w_from, w_step = w_step, w_last = w_from + w_step * (w_count - 1.001), tab = tab,
    ln_time = log(cbind(d$from_s, ifelse(none, 1, d$to_s))), aspect = aspect, none = as.numeric(none),
    suction = mapply(suction, d$pull_ml, d$gas_ml), hands = length(unique(by_hand)), hand = match(by_hand, unique(by_hand)),
    sd_combination = sd_combination, sd_hand = sd_hand, sd_rest = sd_rest, odd_share = odd_share, sd_odd = sd_odd,
    slip = ifelse(none, 0.5, 0.5 * log(hi / lo) / log(120 / 0.05)), ones = rep(1, nrow(d)))
  inits <- lapply(1:4, function(c) list(n = prior$n, lnY = log(prior$y) + 0.2 * (c - 2), .RNG.name = "base::Mersenne-Twister", .RNG.seed = 20 + c))
  m <- jags.model(textConnection(model), data, inits, n.chains = 4, n.adapt = 5000, quiet = TRUE)
  update(m, 10000, progress.bar = "none")
  run <- coda.samples(m, c("n", "lnK", "lnY", "delta", "slipped"), n.iter = 60000, thin = 10, progress.bar = "none")
  cat(name, ": Gelman-Rubin", max(gelman.diag(run[, c("n", "lnK", "lnY")], multivariate = FALSE)$psrf[, 1]), "effective", min(effectiveSize(run)), "\n")
  x <- as.matrix(run)
  for (i in seq_len(nrow(d))) {
    s <- x[, if (nrow(d) > 1) sprintf("slipped[%d]", i) else "slipped"]
    slips <- rbind(slips, data.frame(set = name, test = d$test[i], slip = mean(s), error = batch_error(s, mean)))
  }
  ln_phi <- function(w, n) { # bilinear, as in the model
    w <- pmin(pmax(w, w_from), data$w_last)
    r <- floor((n - n_from) / n_step) + 1; u <- (n - n_from) / n_step + 1 - r
    k <- floor((w - w_from) / w_step) + 1; v <- (w - w_from) / w_step + 1 - k
    (1 - u) * ((1 - v) * tab[cbind(r, k)] + v * tab[cbind(r, k + 1)]) + u * ((1 - v) * tab[cbind(r + 1, k)] + v * tab[cbind(r + 1, k + 1)])
  }
  set.seed(7)
  asked <- rbind(unique(d[, c("bore_mm", "exposed_mm", "gas_ml")]), data.frame(bore_mm = 0.19, exposed_mm = 13, gas_ml = 0.03))
  for (q in seq_len(nrow(asked))) for (by in c(3, 10)) {
    a <- log(asked$bore_mm[q] / 2 / (asked$exposed_mm[q] + hub_mm))
    j <- match(paste(asked$bore_mm[q], asked$exposed_mm[q], asked$gas_ml[q]), setups)
    delta <- if (is.na(j)) rnorm(nrow(x), 0, ifelse(runif(nrow(x)) < odd_share, sd_odd, sd_combination)) else x[, if (length(setups) > 1) sprintf("delta[%d]", j) else "delta"]
    delta <- delta + rnorm(nrow(x), 0, sd_lot)
    w <- x[, "lnY"] - x[, "lnK"] + x[, "n"] * (log(by) + a)
    s <- pnorm((suction(0.1, asked$gas_ml[q]) - (log(2) - a + x[, "lnY"] - ln_phi(w, x[, "n"])) + delta) / sd_test)
    low <- function(s) quantile(s, 0.1, names = FALSE); high <- function(s) quantile(s, 0.9, names = FALSE)
    shares <- rbind(shares, data.frame(set = name, asked[q, ], by_s = by, tested = as.integer(!is.na(j)),
      share = mean(s), share_error = batch_error(s, mean), low = low(s), low_error = batch_error(s, low),
      high = high(s), high_error = batch_error(s, high)))
  }
}
fixed <- function(d) { # six places: what is smaller is no business of a share
  for (name in names(d)) if (name %in% c("share", "share_error", "low", "low_error", "high", "high_error", "slip", "error")) d[[name]] <- sprintf("%.6f", d[[name]])
  d
}
write.csv(fixed(shares), "mcmc_shares.csv", row.names = FALSE, quote = FALSE)
write.csv(fixed(slips), "mcmc_slips.csv", row.names = FALSE, quote = FALSE)
