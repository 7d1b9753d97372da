"""Papers and files: the ticket, sweep report, shop pages, exports."""
