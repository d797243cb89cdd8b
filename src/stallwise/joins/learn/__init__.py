"""What logs and readings teach, and how often forecasts were right."""
