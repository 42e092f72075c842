/** Processor time of this process so far, ms: what a busy computer does not stretch. */
export function processorTime_ms(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}
