"""The command line: arguments in, sentences and an exit code out. One module a command."""
