# Makes the declared comparison of the vent study again from rows.csv in this
# folder, in R, and beside it the closest mixed model by lme4.
#
#   cd FOLDER && Rscript model.R
#
# Needs R 4.0 or later; lme4 for the mixed model; clubSandwich, where it is there,
# for errors clustered by site. Prints CSV: fit, coefficient, value, standard error,
# degrees of freedom. The first fit holds the figures of effects.csv (within the
# burner control, by equivalent length, CO2); the mixed model those of sensitivity.csv (sites).

question <- "{{.Question}}"
fires <- c({{.Fires}})
control <- "{{.Control}}" # burner control; "": all
# Of all: burner controls with a level and a coefficient of combustion air of their own;
# rows of the others have those of "other", or of the first where they are too few.
controls <- c({{.Controls}})

rows <- read.csv("rows.csv", encoding = "UTF-8", stringsAsFactors = FALSE, na.strings = "")
d <- rows[rows$question == question & rows$fire %in% fires & rows$in_fit == "yes", ]
if (control != "") {
  d <- d[!is.na(d$control) & d$control == control, ]
}
if (nrow(d) == 0) {
  message("no row of ", question, " is in a fit")
  quit(status = 0)
}

# Coefficients of drift are rates: what is no change itself goes with the time
# between. Shifts are changes as they are.
time <- if (question == "drift") d$years_between else rep(1, nrow(d))
d$constant <- time
d$vent <- d$vent_of_run * time
columns <- c("constant", "vent")
if (length(controls) < 2) {
  columns <- c(columns, "change_air_k")
} else {
  rare <- if ("other" %in% controls) "other" else controls[1]
  level <- ifelse(d$control %in% controls, d$control, rare)
  for (l in controls) {
    name <- paste0("change_air_k_", gsub("[^a-z]+", "_", l))
    d[[name]] <- d$change_air_k * (level == l)
    columns <- c(columns, name)
    if (l != controls[1] && question != "re-routing") {
      name <- paste0("level_", gsub("[^a-z]+", "_", l))
      d[[name]] <- time * (level == l)
      columns <- c(columns, name)
    }
  }
}
if (question == "re-routing") {
  columns <- c(columns, "years_between", "vent_years")
}
if (question == "drift") {
  d$age <- d$age_years * time
  columns <- c(columns, "age", "settled_years")
}

say <- function(fit, coefficient, value, error, df) {
  write.table(data.frame(fit, coefficient, signif(value, 9), signif(error, 9), signif(df, 6)),
    sep = ",", row.names = FALSE, col.names = FALSE)
}
cat("fit,coefficient,value,standard_error,degrees_of_freedom\n")

# Least squares. A column that repeats others gets no coefficient.
plain <- lm(reformulate(columns, "change_co2_points", intercept = FALSE), data = d)
b <- coef(plain)
columns <- columns[!is.na(b)]
if (requireNamespace("clubSandwich", quietly = TRUE)) {
  plain <- lm(reformulate(columns, "change_co2_points", intercept = FALSE), data = d)
  errors <- clubSandwich::vcovCR(plain, cluster = d$site, type = "CR2")
  tested <- clubSandwich::coef_test(plain, vcov = errors, test = "Satterthwaite")
  say("least squares, errors by site (CR2)", columns, tested[["beta"]], tested[["SE"]], tested[["df_Satt"]])
} else {
  say("least squares", columns, b[!is.na(b)], NA, NA)
}

# A level and a slope of its own for each site, normal and independent (REML).
if (requireNamespace("lme4", quietly = TRUE)) {
  terms <- c(columns, "(0 + constant | site)", "(0 + vent | site)")
  mixed <- lme4::lmer(reformulate(terms, "change_co2_points", intercept = FALSE), data = d, REML = TRUE)
  say("mixed model, level and slope by site (lme4)", names(lme4::fixef(mixed)), lme4::fixef(mixed),
    sqrt(diag(as.matrix(vcov(mixed)))), NA)
} else {
  message("lme4 is not installed: no mixed model")
}
