# Times lme4, lmerTest, pbkrtest and emmeans on tables of the shapes that bench/engine.sh uses, with simulated responses.
# It needs R and those four packages, which Fairplot itself does not:
#   install.packages(c("lme4", "lmerTest", "pbkrtest", "emmeans"))
#   Rscript bench/engine.R            the small tables
#   Rscript bench/engine.R large      all of them; Kenward-Roger is only tried up to 2,000 rows, where it takes most of a minute

missing <- Filter(function(p) !requireNamespace(p, quietly = TRUE), c("lme4", "lmerTest", "pbkrtest", "emmeans"))
if (length(missing) > 0) stop("these R packages are needed: ", paste(missing, collapse = ", "))
suppressPackageStartupMessages(library(lmerTest))

large <- "large" %in% commandArgs(TRUE)
set.seed(2026)
pick <- function(n, q) factor(sample.int(q, n, replace = TRUE))
effect <- function(f, sd) rnorm(nlevels(f), sd = sd)[f]
middle <- function(times, f) median(replicate(times, system.time(f())[["elapsed"]]))
row <- function(what, step, seconds) cat(sprintf("| %s | %s | %.3f |\n", what, step, seconds))

cat(R.version.string, "; lme4", format(packageVersion("lme4")), "\n\n| table | step | median, s |\n|---|---|---|\n")

# 72 rows: the split plot of Yates (1935), as in nlme::Oats; here with a simulated response of the same shape.
oats <- expand.grid(block = factor(1:6), variety = factor(1:3), nitro = factor(1:4))
oats$plot <- interaction(oats$block, oats$variety)
oats$y <- effect(oats$block, 15) + effect(oats$plot, 10) + rnorm(72, sd = 13)
fit <- function() lmer(y ~ variety * nitro + (1 | block) + (1 | plot), oats)
m <- fit()
row("72 rows", "fit", middle(20, fit))
row("72 rows", "Kenward-Roger F", middle(5, function() anova(m, ddf = "Kenward-Roger")))
row("72 rows", "all pairs", middle(5, function() pairs(emmeans::emmeans(m, "nitro", lmer.df = "kenward-roger"))))

n <- 2000
farm <- data.frame(bed = pick(n, 96), season = pick(n, 10), crop = pick(n, 20), method = pick(n, 3), x = rnorm(n))
farm$garden <- factor((as.integer(farm$bed) - 1) %/% 16)
farm$gs <- interaction(farm$garden, farm$season, drop = TRUE)
farm$y <- with(farm, effect(garden, 0.7) + effect(bed, 0.4) + effect(season, 0.5) + effect(gs, 0.3) + effect(crop, 0.8)) + rnorm(n)
fit <- function() lmer(y ~ method + x + (1 | garden) + (1 | bed) + (1 | season) + (1 | gs) + (1 | crop), farm)
m <- fit()
row("2,000 rows", "fit", middle(3, fit))
row("2,000 rows", "Kenward-Roger F", middle(1, function() anova(m, ddf = "Kenward-Roger")))

if (large) {
  n <- 60000
  net <- data.frame(bed = pick(n, 9000), season = pick(n, 12), crop = pick(n, 20), method = pick(n, 3))
  net$garden <- factor((as.integer(net$bed) - 1) * 800 %/% 9000)
  net$y <- with(net, effect(garden, 0.7) + effect(bed, 0.4) + effect(season, 0.5)) + rnorm(n)
  fit <- function() lmer(y ~ crop + method + (1 | garden) + (1 | bed) + (1 | season), net)
  m <- fit()
  row("60,000 rows", "fit", middle(1, fit))
  row("60,000 rows", "Satterthwaite F", middle(1, function() anova(m)))

  n <- 45861
  cells <- data.frame(field = pick(n, 500), a = pick(n, 3), b = pick(n, 2), c = pick(n, 4))
  cells$y <- effect(cells$field, 0.6) + rnorm(n)
  row("45,861 rows", "fit", middle(1, function() lmer(y ~ a * b * c + (1 | field), cells)))

  n <- nrow(lme4::InstEval)
  fit <- function() lmer(y ~ service + studage + lectage + (1 | s) + (1 | d) + (1 | dept), lme4::InstEval)
  m <- fit()
  row(paste(n, "rows"), "fit", middle(1, fit))
  row(paste(n, "rows"), "Satterthwaite F", middle(1, function() anova(m)))
}
