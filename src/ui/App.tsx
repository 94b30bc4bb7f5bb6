import { KeyList } from "./dialogs/KeyList.tsx";
import { SequenceChoice } from "./dialogs/SequenceChoice.tsx";
import { DropPlace } from "./frame/DropPlace.tsx";
import { Header } from "./frame/Header.tsx";
import { Notices } from "./frame/Notices.tsx";
import { Search } from "./search/Search.tsx";
import { screens } from "./frame/screens.ts";
import { screen } from "./state/screen.ts";
import { Tour } from "./tour/Tour.tsx";
import { ClashDialog } from "./store/ClashDialog.tsx";
import { ImportDialog } from "./store/ImportDialog.tsx";
import { ShotsDialog } from "./store/ShotsDialog.tsx";
import { useStore } from "./state/store.ts";

export function App() {
  const now = useStore(screen, (value) => value.now);
  const Body = (screens.find(({ id }) => id === now) ?? screens[0]).body;
  return (
    <DropPlace>
      <Header />
      <main className="main">
        <Body />
      </main>
      <Notices />
      <KeyList />
      <Search />
      <SequenceChoice />
      <ShotsDialog />
      <ImportDialog />
      <ClashDialog />
      <Tour />
    </DropPlace>
  );
}
