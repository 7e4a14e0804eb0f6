"""One life of a plan after another: calendars, draws, the network of a plan, the runs."""
