"""What a study may say, in every form."""
