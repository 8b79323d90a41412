# Quantiles of type 8 and limits by order statistics in base R. Rscript quantile.R; recorded
# with R 4.2.2.
for (c in list(c(6,.5), c(13,.25), c(13,.75), c(36,.9), c(72,.05), c(40,.5), c(101,.1))) {
  n <- c[1]; p <- c[2]; x <- 1:n
  r <- max(which(pbinom(0:(n-1), n, p) <= .025)); s <- min(which(pbinom(0:(n-1), n, p, lower.tail=FALSE) <= .025))
  cat(sprintf("\t\t{%d, %g, %.15g, %d, %d, %.12g},\n", n, p, quantile(x, p, type=8), r, s, pbinom(s-1,n,p)-pbinom(r-1,n,p)))
}
