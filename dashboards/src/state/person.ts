const key = "thermowatch.person";

/** Who stands at this page, as they said last; empty: nobody has said. */
export function personHere(): string {
  try {
    return localStorage.getItem(key) ?? "";
  } catch {
    return "";
  }
}

export function keepPerson(name: string): void {
  try {
    localStorage.setItem(key, name);
  } catch {
    // A browser that keeps nothing asks each time.
  }
}
