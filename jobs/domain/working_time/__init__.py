"""When people work: hours, days off, holidays, evenings; days that suit no client."""
