"""Every stage held against values from outside the project."""
