# What a statistician would write for one fleet in an afternoon, as a reference to
# hold the model's order against: deviations from target are taken forward within
# segments (Arellano and Bover 1995, J Econometrics 68:29), which removes the
# unknown level of each setting and leaves the noise independent; lme4 then gives
# the drift of each kind of burner, the slopes of units and the errors of analyzers.
#
#   Rscript expert.R readings.csv ask.csv answer.csv
#
# readings.csv: fit, unit, segment, t (years), y (points off target), analyzer,
#               control, vent (share of the longest run), age (years at t = 0), air (K over 10 degC)
# ask.csv:      fit, unit, segment of the state, t, rich, lean, control, vent, age, air, airsd
# answer.csv:   one probability of standing outside a line, in the order of ask.csv
suppressMessages({library(lme4); library(Matrix)})
args <- commandArgs(trailingOnly = TRUE)
readings <- read.csv(args[1], stringsAsFactors = FALSE)
ask <- read.csv(args[2], stringsAsFactors = FALSE)

# covariates integrated over time: time, vent x time, age, by control; and the air
columns <- function(d, controls) {
  x <- list()
  for (k in controls) {
    own <- as.numeric(d$control == k)
    x[[paste("time", k)]] <- own * d$t
    x[[paste("vent", k)]] <- own * d$vent * d$t
    x[[paste("air", k)]] <- own * d$air
  }
  x[["age"]] <- d$age * d$t + d$t^2 / 2
  do.call(cbind, x)
}

# forward orthogonal deviations: sparse matrix F, a row for all but the last reading
# of each segment, sqrt(m / (m + 1)) (x_i - mean of the m that follow)
forward <- function(segment) {
  rows <- split(seq_along(segment), segment)
  i <- j <- x <- list(); n <- 0; k <- 0
  for (r in rows) {
    len <- length(r)
    if (len < 2) next
    for (a in seq_len(len - 1)) {
      m <- len - a; n <- n + 1; k <- k + 1
      scale <- sqrt(m / (m + 1))
      i[[k]] <- rep(n, m + 1); j[[k]] <- r[a:len]; x[[k]] <- scale * c(1, rep(-1 / m, m))
    }
  }
  sparseMatrix(unlist(i), unlist(j), x = unlist(x), dims = c(n, length(segment)))
}

fit <- function(d) {
  controls <- names(which(table(d$control) >= 100))
  if (length(controls) == 0) controls <- names(which.max(table(d$control)))
  d$control[!(d$control %in% controls)] <- controls[which.max(table(d$control)[controls])]
  d$key <- paste(d$unit, d$segment)
  F <- forward(d$key)
  X <- as.matrix(F %*% columns(d, controls)); y <- as.numeric(F %*% d$y)
  first <- summary(F); first <- first[!duplicated(first$i), ]
  unit <- factor(d$unit[first$j])
  analyzer <- factor(d$analyzer)
  slopes <- sparse.model.matrix(~ 0 + factor(d$unit), drop.unused.levels = FALSE) * d$t
  colnames(slopes) <- levels(factor(d$unit))
  tools <- sparse.model.matrix(~ 0 + analyzer)
  Z1 <- F %*% slopes[, levels(unit), drop = FALSE]; Z2 <- F %*% tools
  # lme4 is asked for a model of the right shape, and given the transformed design
  shape <- data.frame(y = y, unit = unit, tool = factor(rep_len(levels(analyzer), length(y)), levels = levels(analyzer)))
  parsed <- lFormula(y ~ 0 + X + (1 | unit) + (1 | tool), data = shape, REML = TRUE,
    control = lmerControl(check.nobs.vs.nlev = "ignore", check.nobs.vs.nRE = "ignore", check.rankX = "silent.drop.cols", check.scaleX = "ignore"))
  order <- names(parsed$reTrms$cnms)
  parsed$reTrms$Zt <- as(t(do.call(cbind, list(unit = Z1, tool = Z2)[order])), "CsparseMatrix")
  dev <- do.call(mkLmerDevfun, parsed)
  model <- mkMerMod(environment(dev), optimizeLmer(dev), parsed$reTrms, fr = parsed$fr)
  beta <- setNames(rep(0, ncol(X)), colnames(X))
  fixed <- fixef(model); names(fixed) <- sub("^X", "", names(fixed)); beta[names(fixed)] <- fixed
  sd <- as.data.frame(VarCorr(model)); sigma <- sigma(model)
  tau <- sd$sdcor[sd$grp == "unit"]; bias <- sd$sdcor[sd$grp == "tool"]
  b <- ranef(model, condVar = TRUE)
  list(controls = controls, beta = beta, sigma = sigma, tau = tau, bias = bias,
    v = setNames(b$unit[[1]], rownames(b$unit)), vv = setNames(attr(b$unit, "postVar")[1, 1, ], rownames(b$unit)),
    a = setNames(b$tool[[1]], rownames(b$tool)), av = setNames(attr(b$tool, "postVar")[1, 1, ], rownames(b$tool)), d = d)
}

answer <- rep(0.5, nrow(ask))
for (k in unique(ask$fit)) {
  m <- fit(readings[readings$fit == k, ])
  d <- m$d; at <- which(ask$fit == k); q <- ask[at, ]
  q$control[!(q$control %in% m$controls)] <- m$controls[1]
  v <- ifelse(q$unit %in% names(m$v), m$v[q$unit], 0); vv <- ifelse(q$unit %in% names(m$vv), m$vv[q$unit], m$tau^2)
  own <- ifelse(d$unit %in% names(m$v), m$v[d$unit], 0)
  known <- function(x) as.numeric(columns(x, m$controls) %*% m$beta)
  rest <- d$y - known(d) - own * d$t - m$a[d$analyzer]
  key <- paste(q$unit, q$segment)
  by <- function(x, f) as.numeric(tapply(x, d$key, f)[key])
  level <- by(rest, mean); n <- by(rest, length); middle <- by(d$t, mean); av <- by(m$av[d$analyzer], mean)
  # a setting nobody wrote down is taken as on target on the day it was made
  set <- is.na(level); n[set] <- 1; av[set] <- m$bias^2; middle[set] <- q$from[set]
  then <- q; then$t <- q$from; then$air <- 0
  level[set] <- -known(then)[set] - v[set] * q$from[set]
  expected <- level + known(q) + v * q$t
  air <- m$beta[paste("air", q$control)]
  s <- sqrt(m$sigma^2 / n + av / n + (q$t - middle)^2 * vv + (air * q$airsd)^2)
  answer[at] <- pnorm((expected - q$rich) / s) + pnorm((q$lean - expected) / s)
}
write.table(answer, args[3], row.names = FALSE, col.names = FALSE)
