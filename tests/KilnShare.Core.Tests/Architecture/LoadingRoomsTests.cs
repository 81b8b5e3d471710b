namespace KilnShare.Core.Tests.Architecture;

/// <summary>Core/Loading is a house of its own: its rooms have an order, and no room is overfull.</summary>
public sealed class LoadingRoomsTests
{
    private static IReadOnlyList<SourceFile> Files { get; } = Sources.Under(LoadingRooms.Folder);

    [Fact]
    public void No_room_uses_one_above_it_and_the_checks_stand_apart() => Assert.Empty(LoadingRooms.UsesUpward(Files));

    [Fact]
    public void Namespaces_follow_folders() => Assert.Empty(LoadingRooms.Misnamed(Files));

    [Fact]
    public void No_folder_has_more_than_20_files() => Assert.Empty(LoadingRooms.TooFull(Files));

    [Fact]
    public void Every_room_is_there_and_the_page_of_the_rooms_names_it()
    {
        var page = Sources.Read($"{LoadingRooms.Folder}/README.md");
        var rooms = Files.Select(f => f.Path[(LoadingRooms.Folder.Length + 1)..].Split('/')).Where(p => p.Length == 2).Select(p => p[0]).Distinct().ToList();
        Assert.Equal([.. LoadingRooms.Order.Where(r => r != "front").Append("Checks").Order()], rooms.Order());
        Assert.All(rooms, r => Assert.Contains($"`{r}/`", page, StringComparison.Ordinal));
    }

    [Fact]
    public void Each_rule_sees_a_planted_fault()
    {
        SourceFile Planted(string path, string text) => new($"{LoadingRooms.Folder}/{path}", text);
        SourceFile[] planted =
        [
            Planted("Shelves/Up.cs", "using KilnShare.Core.Loading.Levels;\n\nnamespace KilnShare.Core.Loading.Shelves;\n"),
            Planted("Search/Front.cs", "namespace KilnShare.Core.Loading.Search;\nvar x = LoadSearch.Solve();\n"),
            Planted("Search/Judge.cs", "using KilnShare.Core.Loading.Checks;\n\nnamespace KilnShare.Core.Loading.Search;\n"),
            Planted("Checks/Borrow.cs", "using KilnShare.Core.Loading.Geometry;\n\nnamespace KilnShare.Core.Loading.Checks;\n"),
            Planted("LoadPiece.cs", "using KilnShare.Core.Loading.Geometry;\n\nnamespace KilnShare.Core.Loading;\n"),
            Planted("Series/Fine.cs",
                "using KilnShare.Core.Loading.Search;\n\nnamespace KilnShare.Core.Loading.Series;\n// Checks\nvar x = LoadSearch.Solve();\n"),
            Planted("LoadSearch.cs", "using KilnShare.Core.Loading.Finishing;\n\nnamespace KilnShare.Core.Loading;\n"),
        ];
        Assert.Equal(
            [
                "Shelves/Up.cs uses Levels", "Search/Front.cs uses front", "Search/Judge.cs uses Checks", "Checks/Borrow.cs uses Geometry",
                    "LoadPiece.cs uses Geometry",
            ],
            LoadingRooms.UsesUpward(planted).Select(c => c[(LoadingRooms.Folder.Length + 1)..]));
        Assert.Empty(LoadingRooms.Misnamed(planted));
        Assert.Single(LoadingRooms.Misnamed([Planted("Levels/Astray.cs", "namespace KilnShare.Core.Loading.Search;\n")]));
        Assert.Single(LoadingRooms.TooFull([.. Enumerable.Range(0, LoadingRooms.MostFiles + 1).Select(i => Planted($"Levels/{i}.cs", ""))]));
        Assert.Empty(LoadingRooms.TooFull([.. Enumerable.Range(0, LoadingRooms.MostFiles).Select(i => Planted($"Levels/{i}.cs", ""))]));
    }
}
