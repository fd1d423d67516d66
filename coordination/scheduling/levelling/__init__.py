"""Few crews, many jobs: who works where when, so that dates that matter are kept."""
