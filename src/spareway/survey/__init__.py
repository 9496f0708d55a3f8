"""What each place on site asks, and the lines that each answer writes into the job. Texts in, texts out."""
