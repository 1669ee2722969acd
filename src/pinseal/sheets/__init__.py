"""Job sheets: procedures as data, composed for one unit on one day, and the engine that runs them."""
