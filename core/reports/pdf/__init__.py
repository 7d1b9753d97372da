"""Papers as PDF, made by reportlab, which is loaded when the first one is asked for."""
