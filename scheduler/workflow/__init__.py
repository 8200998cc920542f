"""What a command does between files and checked answer; knows no terminal."""
