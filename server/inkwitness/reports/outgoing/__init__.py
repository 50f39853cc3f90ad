"""What is written for others: labels for goods on hold, neutral messages, and words that judge."""
