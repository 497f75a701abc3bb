"""What every spread costs, and what it makes of the age and of the hit."""
