import { useMemo, useState } from "react";
import {
  Autocomplete,
  Collection,
  Dialog,
  Header,
  Heading,
  Input,
  Menu,
  MenuItem,
  MenuSection,
  Modal,
  ModalOverlay,
  SearchField,
} from "react-aria-components";
import { keyName } from "../actions.ts";
import { useStore } from "../state/store.ts";
import { view } from "../state/view.ts";
import type { Findable } from "./find.ts";
import { found } from "./findables.ts";

interface Section {
  readonly id: string;
  readonly items: readonly Findable[];
}

function sectionsOf(items: readonly Findable[]): readonly Section[] {
  const sections = new Map<string, Findable[]>();
  for (const item of items) sections.set(item.section, [...(sections.get(item.section) ?? []), item]);
  return [...sections].map(([id, inside]) => ({ id, items: inside }));
}

/** One place to find anything: what can be done, findings, parts, frames and screens. */
export function Search() {
  const isOpen = useStore(view, (value) => value.dialog === "search");
  return (
    <ModalOverlay
      className="veil top"
      isDismissable
      isOpen={isOpen}
      onOpenChange={(open) => view.set({ dialog: open ? "search" : null })}
    >
      <Modal className="modal search-modal">
        <Dialog className="dialog search">
          <Heading slot="title" className="visually-hidden">
            Find
          </Heading>
          <SearchList />
        </Dialog>
      </Modal>
    </ModalOverlay>
  );
}

function SearchList() {
  const [query, setQuery] = useState("");
  const items = useMemo(() => found(query), [query]);
  const sections = sectionsOf(items);
  const perform = (id: unknown) => {
    view.set({ dialog: null });
    // After the dialog has given the focus back: what is done may open the next one.
    setTimeout(() => items.find((item) => item.id === id)?.perform());
  };
  return (
    <Autocomplete inputValue={query} onInputChange={setQuery}>
      {/* The dialog is this field: who asked for it wants to type. */}
      {/* oxlint-disable-next-line jsx-a11y/no-autofocus */}
      <SearchField className="search-field" aria-label="Find an action, a finding, a part or a frame" autoFocus>
        <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
          <circle cx="7" cy="7" r="4.5" />
          <path d="M10.5 10.5 14 14" />
        </svg>
        <Input placeholder="An action, a finding, a part, a frame (17, 1+08, 01:00:00:17)" />
        <kbd aria-hidden="true">Esc</kbd>
      </SearchField>
      <Menu
        className="menu search-list"
        aria-label="Found"
        items={sections}
        onAction={perform}
        renderEmptyState={() => <p className="search-none">Nothing is called that.</p>}
      >
        {(section) => (
          <MenuSection id={`section ${section.id}`}>
            <Header className="search-section">{section.id}</Header>
            <Collection items={section.items}>
              {(item) => (
                <MenuItem id={item.id} className="menu-item" textValue={item.words}>
                  <span>
                    {item.words}
                    {item.kind !== "action" && item.more !== "" && <small>{item.more}</small>}
                  </span>
                  <span className="search-keys" aria-hidden="true">
                    {item.keys.map((key) => (
                      <kbd key={key}>{keyName(key)}</kbd>
                    ))}
                  </span>
                </MenuItem>
              )}
            </Collection>
          </MenuSection>
        )}
      </Menu>
    </Autocomplete>
  );
}
