# SPDX-License-Identifier: GPL-3.0-or-later
# How the numbers of mixed_model_test.cpp were made: Rscript make_golden.R, run in this folder.
# Debian packages r-cran-lme4 and r-cran-mass; the tests read the tables only.
library(lme4)
library(MASS)
cat("lme4", as.character(packageVersion("lme4")), "MASS", as.character(packageVersion("MASS")),
    R.version.string, "\n")

# Crossed effects: zones of inhibition by plate and sample [Davies1972].
data(Penicillin, package = "lme4")
fit <- lmer(diameter ~ 1 + (1 | plate) + (1 | sample), Penicillin, REML = TRUE)
write.csv(data.frame(diameter = Penicillin$diameter, plate = as.integer(Penicillin$plate) - 1,
                     sample = as.integer(Penicillin$sample) - 1),
          "penicillin.csv", row.names = FALSE, quote = FALSE)
sd <- as.data.frame(VarCorr(fit))$sdcor
print(sd, digits = 12)  # plate, sample, residual
print(fixef(fit), digits = 12)
print(sqrt(diag(as.matrix(vcov(fit)))), digits = 12)
print(ranef(fit)$plate[, 1], digits = 10)
print(ranef(fit)$sample[, 1], digits = 10)

# Heavy-tailed noise: telephone calls with six wild years, weights of Student t with 4 degrees of
# freedom, at the scale that rlm ends with [Venables2002].
psi.t4 <- function(u, deriv = 0) if (deriv) 5 * (4 - u^2) / (4 + u^2)^2 else 5 / (4 + u^2)
robust <- rlm(calls ~ I(year - 60), as.data.frame(phones), psi = psi.t4, maxit = 500, acc = 1e-10)
write.csv(as.data.frame(phones), "phones.csv", row.names = FALSE, quote = FALSE)
print(robust$s, digits = 10)
print(coef(robust), digits = 10)
print(coef(summary(robust)), digits = 6)
print(coef(lm(calls ~ I(year - 60), as.data.frame(phones))), digits = 10)
