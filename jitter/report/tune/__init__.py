"""The best settings, in every form."""
