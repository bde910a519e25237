// Loaded into a service that the command line has started: when the command line is gone, killed or not, so is it.
process.once('disconnect', () => process.kill(process.pid, 'SIGTERM'));
// The channel alone is no reason to go on living.
process.channel?.unref();
