# What a statistician would write for a fleet: read the exports, put each reading
# against the target in force, cut each burner's history where it was set, take
# deviations forward within segments (Arellano and Bover 1995, J Econometrics 68:29),
# fit drift by control, vent and age with lme4, and rank units by the chance that
# their CO2 stands outside the action band on a day.
#
#   Rscript ranked.R FOLDER 2026-03-02 ranked.csv
#
# FOLDER holds units.csv, lines.csv and readings.csv.
suppressMessages({library(lme4); library(Matrix)})
args <- commandArgs(trailingOnly = TRUE)
at <- function(name) read.csv(file.path(args[1], name), stringsAsFactors = FALSE, check.names = FALSE, na.strings = "", encoding = "UTF-8")
units <- at("units.csv"); lines <- at("lines.csv"); d <- at("readings.csv")
years <- function(day) as.numeric(as.Date(day)) / 365.25
now <- years(args[2])

# readings in the context of their day: unit, target in force, points off target
d <- d[!is.na(d[["CO2 %"]]), ]
u <- match(d$Serial, units$Serial); d <- d[!is.na(u), ]; u <- u[!is.na(u)]
d$t <- years(d$Date); d$line <- units[["Model line"]][u]; d$fuel <- units$Fuel[u]; d$control <- units$Control[u]
d$vent <- units[["Vent m"]][u]; d$installed <- years(units$Installed[u])
lines$from <- years(lines[["Valid from"]])
lines <- lines[order(lines$from), ]
d$target <- d$rich <- d$lean <- d$longest <- NA
for (i in seq_len(nrow(lines))) {
  l <- lines[i, ]
  hit <- d$line %in% l$Line & d$fuel == l$Fuel & d$Fire == l$Fire & d$t >= l$from
  d$target[hit] <- l[["Target CO2 %"]]; d$rich[hit] <- l[["Act rich"]]; d$lean[hit] <- l[["Act lean"]]; d$longest[hit] <- l[["Longest run m"]]
}
d <- d[!is.na(d$target), ]
d$y <- d[["CO2 %"]] - d$target
d <- d[abs(d$y) < 1.5, ] # what cannot be a setting
d$share <- d$vent / d$longest; d$share[is.na(d$share)] <- median(d$share, na.rm = TRUE)
d$age <- pmax(0, d$t - d$installed)
season <- tapply(d[["Air degC"]], substr(d$Date, 6, 7), mean, na.rm = TRUE)
d$air <- d[["Air degC"]]; miss <- is.na(d$air); d$air[miss] <- season[substr(d$Date[miss], 6, 7)]; d$air <- d$air - 10
d$fit <- ifelse(d$Fire == "low", "low", "high")
d$analyzer <- ifelse(is.na(d$Analyzer), d$Technician, d$Analyzer)

# segments: a burner that was set begins a new one with its as-left reading; an as-left
# reading of a visit without a setting repeats the as-found one
left <- d$Taken == "after"; set <- left & d$Adjusted %in% "yes"
d <- d[order(d$fit, d$Serial, d$t, left), ]
left <- d$Taken == "after"; set <- left & d$Adjusted %in% "yes"
twice <- left & !set & duplicated(paste(d$fit, d$Serial, d$Visit))
d <- d[!twice, ]; set <- d$Taken == "after" & d$Adjusted %in% "yes"
d$key <- paste(d$fit, d$Serial, ave(as.numeric(set), d$fit, d$Serial, FUN = cumsum))

columns <- function(d, controls) {
  x <- list()
  for (k in controls) {
    own <- as.numeric(d$control == k)
    x[[paste("time", k)]] <- own * d$t
    x[[paste("vent", k)]] <- own * d$share * d$t
    x[[paste("air", k)]] <- own * d$air
  }
  x[["age"]] <- d$age^2 / 2
  do.call(cbind, x)
}

# forward orthogonal deviations: a row for all but the last reading of each segment
forward <- function(segment) {
  rows <- split(seq_along(segment), segment)
  rows <- rows[lengths(rows) > 1]
  i <- j <- x <- vector("list", sum(lengths(rows) - 1)); n <- 0
  for (r in rows) {
    len <- length(r)
    for (a in seq_len(len - 1)) {
      m <- len - a; n <- n + 1
      scale <- sqrt(m / (m + 1))
      i[[n]] <- rep(n, m + 1); j[[n]] <- r[a:len]; x[[n]] <- scale * c(1, rep(-1 / m, m))
    }
  }
  sparseMatrix(unlist(i), unlist(j), x = unlist(x), dims = c(n, length(segment)))
}

fit <- function(d) {
  controls <- names(which(table(d$control) >= 100))
  if (length(controls) == 0) controls <- names(which.max(table(d$control)))
  d$control[!(d$control %in% controls)] <- controls[which.max(table(d$control)[controls])]
  F <- forward(d$key)
  X <- as.matrix(F %*% columns(d, controls)); y <- as.numeric(F %*% d$y)
  first <- summary(F); first <- first[!duplicated(first$i), ]
  unit <- factor(d$Serial[first$j])
  analyzer <- factor(d$analyzer)
  slopes <- sparse.model.matrix(~ 0 + factor(d$Serial), drop.unused.levels = FALSE) * d$t
  colnames(slopes) <- levels(factor(d$Serial))
  tools <- sparse.model.matrix(~ 0 + analyzer)
  Z1 <- F %*% slopes[, levels(unit), drop = FALSE]; Z2 <- F %*% tools
  shape <- data.frame(y = y, unit = unit, tool = factor(rep_len(levels(analyzer), length(y)), levels = levels(analyzer)))
  parsed <- lFormula(y ~ 0 + X + (1 | unit) + (1 | tool), data = shape, REML = TRUE,
    control = lmerControl(check.nobs.vs.nlev = "ignore", check.nobs.vs.nRE = "ignore", check.rankX = "silent.drop.cols", check.scaleX = "ignore"))
  order <- names(parsed$reTrms$cnms)
  parsed$reTrms$Zt <- as(t(do.call(cbind, list(unit = Z1, tool = Z2)[order])), "CsparseMatrix")
  dev <- do.call(mkLmerDevfun, parsed)
  model <- mkMerMod(environment(dev), optimizeLmer(dev), parsed$reTrms, fr = parsed$fr)
  beta <- setNames(rep(0, ncol(X)), colnames(X))
  fixed <- fixef(model); names(fixed) <- sub("^X", "", names(fixed)); beta[names(fixed)] <- fixed
  sd <- as.data.frame(VarCorr(model)); b <- ranef(model, condVar = TRUE)
  list(controls = controls, beta = beta, sigma = sigma(model), tau = sd$sdcor[sd$grp == "unit"], bias = sd$sdcor[sd$grp == "tool"],
    v = setNames(b$unit[[1]], rownames(b$unit)), vv = setNames(attr(b$unit, "postVar")[1, 1, ], rownames(b$unit)),
    a = setNames(b$tool[[1]], rownames(b$tool)), av = setNames(attr(b$tool, "postVar")[1, 1, ], rownames(b$tool)), d = d)
}

chances <- function(d) {
  m <- fit(d); d <- m$d
  q <- d[!duplicated(paste(d$Serial, d$Fire), fromLast = TRUE), ] # the newest reading of each burner names its segment
  key <- q$key
  q$age <- q$age + now - q$t; q$t <- now
  q$air <- season[substr(args[2], 6, 7)] - 10
  own <- function(serial) { v <- m$v[serial]; v[is.na(v)] <- 0; v }
  vv <- m$vv[q$Serial]; vv[is.na(vv)] <- m$tau^2
  known <- function(x) as.numeric(columns(x, m$controls) %*% m$beta)
  rest <- d$y - known(d) - own(d$Serial) * d$t - m$a[d$analyzer]
  by <- function(x, f) as.numeric(tapply(x, d$key, f)[key])
  level <- by(rest, mean); n <- by(rest, length); middle <- by(d$t, mean); av <- by(m$av[d$analyzer], mean)
  expected <- level + known(q) + own(q$Serial) * now
  s <- sqrt(m$sigma^2 / n + av / n + (now - middle)^2 * vv + (m$beta[paste("air", q$control)] * 4)^2)
  data.frame(serial = q$Serial, fire = q$Fire, co2 = q$target + expected, sd = s,
    chance = pnorm((expected - q$rich) / s) + pnorm((-q$lean - expected) / s))
}

all <- do.call(rbind, lapply(split(d, d$fit), chances))
all <- all[order(-all$chance, all$serial, all$fire), ]
ranked <- all[!duplicated(all$serial), ]
ranked$rank <- seq_len(nrow(ranked))
write.csv(ranked[, c("rank", "serial", "fire", "co2", "sd", "chance")], args[3], row.names = FALSE, quote = FALSE)
