/** Hands a text file to the browser to save. */
export function saveText(name: string, text: string, type = "application/json"): void {
  const address = URL.createObjectURL(new Blob([text], { type }));
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  // The browser has taken the address by then; at once would be too early in some.
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
