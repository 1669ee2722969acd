"""Speed, as ratios in one run: `make bench`. Nothing here is a test; a slow machine fails nothing."""
