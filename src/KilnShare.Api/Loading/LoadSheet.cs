using System.Globalization;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Loading;

/// <summary>The unit lengths are shown in.</summary>
public enum LengthUnit
{
    /// <summary>Millimetres.</summary>
    Millimetres,

    /// <summary>Inches.</summary>
    Inches,
}

/// <summary>Ware as a load sheet names it.</summary>
/// <param name="Owner">Whose it is; null where that is not said.</param>
/// <param name="Mark">The sign under its foot, or its name where it has none.</param>
/// <param name="Name">What it is.</param>
/// <param name="Footprint">Its outline from above.</param>
/// <param name="Height">From foot to top.</param>
/// <param name="StackAdd">What each further copy in a stack adds to the height.</param>
/// <param name="Copies">The copy of the piece that each copy of the plan is, from 0 as in JSON, shown from 1; null where there is only one.</param>
public sealed record SheetPiece(string? Owner, string Mark, string Name, Footprint Footprint, Length Height, Length StackAdd, IReadOnlyList<int>? Copies)
{
    /// <summary>Its mark with the numbers of these copies.</summary>
    public string MarkOf(IReadOnlyList<int> copies) =>
        Copies is null ? Mark : $"{Mark} {string.Join('+', copies.Select(c => Shown(Copies[c]).ToString(CultureInfo.InvariantCulture)))}";

    /// <summary>Its name and its mark with the numbers of these copies; the name once where it has no mark.</summary>
    public string CalledOf(IReadOnlyList<int> copies) => Mark == Name ? MarkOfAll(copies) : $"{Name} {MarkOfAll(copies)}";

    /// <summary>Its mark with the numbers of copies that stand in several places, as "R 1–5, 7".</summary>
    public string MarkOfAll(IReadOnlyList<int> copies)
    {
        if (Copies is null) return Mark;
        return $"{Mark} {Runs(copies.Select(c => Shown(Copies[c])))}";
    }

    /// <summary>Numbers with those that follow each other drawn together, as "1–5, 7".</summary>
    public static string Runs(IEnumerable<int> numbers) => string.Join(", ", numbers.Order().Select((n, i) => (Number: n, Run: n - i)).GroupBy(x => x.Run)
        .Select(run => run.Count() == 1 ? $"{run.First().Number}" : $"{run.First().Number}–{run.Last().Number}"));

    private static int Shown(int copy) => copy + 1;

    /// <summary>The height of a stack of so many.</summary>
    public Length HeightOf(int copies) => new(Height.Micrometres + ((copies - 1) * StackAdd.Micrometres));
}

/// <summary>A load with everything a picture or a paper of it shows.</summary>
/// <param name="Title">What it is of.</param>
/// <param name="Chamber">The space inside the kiln.</param>
/// <param name="Furniture">Shelves and posts.</param>
/// <param name="Spacing">Distances that are kept.</param>
/// <param name="Plan">Where everything stands.</param>
/// <param name="Pieces">The ware, by its name in the plan.</param>
/// <param name="KeepOuts">Room that is left free.</param>
/// <param name="Unit">The unit lengths are shown in.</param>
public sealed record LoadSheet(
    string Title, Chamber Chamber, Furniture Furniture, KilnSpacing Spacing, LoadPlan Plan,
    IReadOnlyDictionary<string, SheetPiece> Pieces, IReadOnlyList<KeepOut> KeepOuts, LengthUnit Unit)
{
    private const decimal MmPerInch = 25.4m; // exact, by the international inch of 1959
    private const int Eighths = 8; // of an inch, as tapes have them

    /// <summary>A length in words: millimetres, or inches to the nearest eighth.</summary>
    public string Words(Length length) =>
        Unit == LengthUnit.Inches ? InInches(length) + " in" : length.Mm.ToString("0.#", CultureInfo.InvariantCulture) + " mm";

    /// <summary>A length that hands set, in words: whole millimetres, or inches to the nearest eighth.</summary>
    public string Taped(Length length) => Unit == LengthUnit.Inches ? Words(length) : length.Mm.ToString("0", CultureInfo.InvariantCulture) + " mm";

    /// <summary>A length that must not be passed, in words: millimetres to a tenth, or inches down to the next eighth.</summary>
    public string AtMost(Length length)
    {
        if (Unit == LengthUnit.Millimetres) return Words(length);
        var eighths = Math.Floor(length.Mm / MmPerInch * Eighths);
        return eighths == 0 ? "less than 1/8 in" : Words(new Length((long)(eighths * MmPerInch / Eighths * 1000)));
    }

    /// <summary>The number of a shelf on paper, from 1 at the bottom; JSON counts from 0.</summary>
    public static int NumberOf(int index) => index + 1;

    /// <summary>What a shelf is called: by its number, and its kind.</summary>
    public string NameOf(PlacedShelf shelf) => $"Shelf {NumberOf(shelf.Index)} · {shelf.ShelfId}";

    /// <summary>Where each thing on a shelf stands, in the order of hands.</summary>
    public IReadOnlyList<TapeMeasure> MeasuresOn(PlacedShelf shelf) => TapeMeasures.Of(shelf, StockOf(shelf).Footprint, p => PieceOf(p).Footprint);

    private static string InInches(Length length)
    {
        var eighths = (int)Math.Round(Math.Abs(length.Mm) / MmPerInch * Eighths, MidpointRounding.AwayFromZero);
        var (whole, part) = (eighths / Eighths, eighths % Eighths);
        var shared = part == 0 ? 1 : Math.Min(part & -part, Eighths);
        var fraction = part == 0 ? "" : $"{part / shared}/{Eighths / shared}";
        return (length.Mm < 0 && eighths > 0 ? "−" : "") + (whole == 0 && part > 0 ? fraction : part == 0 ? $"{whole}" : $"{whole} {fraction}");
    }

    /// <summary>The kind of a shelf.</summary>
    public ShelfStock StockOf(PlacedShelf shelf) => Furniture.Shelves.First(s => s.Id == shelf.ShelfId);

    /// <summary>The underside of a shelf over the floor.</summary>
    public Length UndersideOf(PlacedShelf shelf) => shelf.Top - StockOf(shelf).Thickness;

    /// <summary>The ware of a placement.</summary>
    public SheetPiece PieceOf(Placement placement) => Pieces[placement.PieceId];

    /// <summary>The top of what stands in a place over the floor.</summary>
    public Length TopOf(PlacedShelf shelf, Placement placement) => shelf.Top + PieceOf(placement).HeightOf(placement.Copies.Count);

    /// <summary>Posts by what they are made of, such as "3 of 100 + 25 mm"; "none" without any.</summary>
    public string PostsInWords(IEnumerable<PlacedPost> posts)
    {
        var groups = posts.GroupBy(p => string.Join(" + ", p.Heights.Select(Words)), StringComparer.Ordinal).Select(g => $"{g.Count()} of {g.Key}").ToList();
        return groups.Count == 0 ? "none" : string.Join(", ", groups);
    }

    /// <summary>The posts that carry a shelf.</summary>
    public IEnumerable<PlacedPost> PostsUnder(PlacedShelf shelf) => Plan.Posts.Where(p => p.Carries.Contains(shelf.Index));

    /// <summary>The posts that stand on a shelf.</summary>
    public IEnumerable<PlacedPost> PostsOn(PlacedShelf shelf) => Plan.Posts.Where(p => p.StandsOn == shelf.Index);
}
