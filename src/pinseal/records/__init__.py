"""The kinds of fact that are kept about an extinguisher, the nameplate, and how a history folds into a state."""
