"""Gas in a closed shell, charging, supply cylinders, leaks, pressure tests, weighing: pure functions with sources."""
