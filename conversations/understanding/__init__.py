"""From the words of a message to intents with typed quantities."""
