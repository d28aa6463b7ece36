"""What `sitegen explain` tells, held against pages, laws and files of what it is to say."""
