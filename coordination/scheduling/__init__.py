"""When it can happen: calendars, critical path, forecast, booking, levelling, shares of a delay. Pure."""
