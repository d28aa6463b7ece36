#!/bin/sh
# Build the site as a server would: run from the folder that holds `content`, with sitegen installed.
# It ends with status 1, and publishes nothing, if a picture or a claim does not hold.
set -eu
sitegen build content --out out
