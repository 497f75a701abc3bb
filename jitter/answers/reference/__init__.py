"""What a study may say."""
