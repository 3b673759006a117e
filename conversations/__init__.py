"""Understanding text, the brew session, and what to reply. Pure; imports calc only."""
