"""English as written in Britain; riders, tuners and papers here read the day first."""
