"""From dial readings to the shaft line: fits, noise, slips, verdicts, hold check."""
