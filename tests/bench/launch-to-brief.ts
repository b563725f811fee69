export async function launchToBrief(_fleet: string, _executablePath: string): Promise<void> {}
