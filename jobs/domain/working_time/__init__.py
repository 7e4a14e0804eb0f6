"""When people work: hours, days off, holidays, a client's days, how firm a promise is."""
