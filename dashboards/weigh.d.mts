export function weigh(): Promise<{ readonly first: number; readonly all: number }>;
