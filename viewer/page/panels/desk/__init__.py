"""What every panel shares: the job as it is, steps back and forth, work stopped and begun again."""
