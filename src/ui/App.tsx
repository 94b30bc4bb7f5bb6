import { KeyList } from "./dialogs/KeyList.tsx";
import { SequenceChoice } from "./dialogs/SequenceChoice.tsx";
import { DropPlace } from "./frame/DropPlace.tsx";
import { Header } from "./frame/Header.tsx";
import { Notices } from "./frame/Notices.tsx";
import { screens } from "./frame/screens.ts";

export function App() {
  const Body = screens[0].body;
  return (
    <DropPlace>
      <Header />
      <main className="main">
        <Body />
      </main>
      <Notices />
      <KeyList />
      <SequenceChoice />
    </DropPlace>
  );
}
