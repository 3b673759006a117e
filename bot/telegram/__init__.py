"""The assistant on Telegram: fetching, who may talk, order, delivery, reminders and operations."""
