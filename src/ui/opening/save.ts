/** Hands a text file to the browser to save. */
export const saveText = (name: string, text: string, type = "application/json"): void =>
  saveBlob(name, new Blob([text], { type }));

export function saveBlob(name: string, blob: Blob): void {
  const address = URL.createObjectURL(blob);
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  // The browser has taken the address by then; at once would be too early in some.
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
