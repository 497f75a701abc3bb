"""From the text of a study file to a frozen study: the only place that judges input."""
