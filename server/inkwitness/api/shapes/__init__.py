"""The shapes of questions and answers, and the description of the API."""
