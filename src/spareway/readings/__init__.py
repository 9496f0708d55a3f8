"""What each reading should be, which fault explains the readings, and what to measure next."""
