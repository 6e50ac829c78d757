# SPDX-License-Identifier: GPL-3.0-or-later
# Values that tests/core/stats checks the random-intercept model against, by lme4.
# Run: Rscript tests/reference/relate_mixed.R
suppressMessages(library(lme4))
options(digits = 12)
tight <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-12))
show <- function(name, f) {
  cat(name, "\n"); print(fixef(f)); print(sqrt(diag(vcov(f))))
  print(as.data.frame(VarCorr(f))[, 4:5]); cat("REML criterion", REMLcrit(f), "\n")
}
# Unbalanced, with groups of one row and a covariate of the group.
d <- data.frame(
  g = c(1,1,1,2,2,3,4,4,4,4,5,5,6),
  x = c(1.0,2.0,4.0,2.5,3.5,5.0,0.5,1.5,2.5,6.0,3.0,4.5,2.0),
  m = c(80,80,80,95,95,88,72,72,72,72,101,101,90),
  y = c(38.1,38.9,39.6,41.2,41.0,42.3,36.0,36.9,37.1,38.8,42.9,43.1,40.2))
d$xm <- ave(d$x, d$g); d$xw <- d$x - d$xm
show("within-between", lmer(y ~ xw + xm + (1 | g), d, control = tight))
show("with mass", lmer(y ~ xw + xm + m + (1 | g), d, control = tight))
# Groups that differ less than chance makes them: the boundary.
b <- data.frame(g = rep(1:4, each = 3),
                x = c(1,2,3,1,2,3,1,2,3,1,2,3),
                y = c(1.0,2.1,2.9,1.2,1.8,3.1,0.9,2.2,3.0,1.1,1.9,3.0))
show("boundary", suppressMessages(lmer(y ~ x + (1 | g), b, control = tight)))
print(summary(lm(y ~ x, b))$coefficients)
cat("residual sd of plain regression", summary(lm(y ~ x, b))$sigma, "\n")
# One-way ICC from unequal numbers of repeated pitches: mean squares by aov.
a <- anova(lm(y ~ factor(g), d)); print(a[, "Mean Sq"])
# Slope inside groups with each group left out in turn, by least squares with a constant a group.
slope <- function(d) coef(lm(y ~ x + factor(g), d))["x"]
k <- unique(d$g[ave(d$x, d$g, FUN = length) > 1])
left <- sapply(k, function(i) slope(d[d$g != i, ]))
n <- length(k)
cat("jackknife slope", slope(d), "se", sqrt((n - 1) / n * sum((left - mean(left))^2)), "df", n - 1,
    "t", qt(.975, n - 1), "\n")
