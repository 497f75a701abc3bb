"""From a study to the errors of each set-up and shot."""
