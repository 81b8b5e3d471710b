namespace KilnShare.Core.Loading.Shelves;

/// <summary>The numbers that steer the search for places on one shelf. None changes what a plan must satisfy.</summary>
internal static class ShelfTuning
{
    /// <summary>Places tried by chance for an item before what is there is moved. Not measured.</summary>
    public const int PlacesSampled = 40;

    /// <summary>Where one size of disc alone would fill a shelf with more than so many, most stand in rows anyhow: they are set about the middle, as a
    /// lattice. Not measured.</summary>
    public const int ManyDiscs = 100;

    /// <summary>One kind would fill the shelf when its copies come to this part of the shelf at least. Not measured.</summary>
    public const double FullOfOneKind = 0.75;

    /// <summary>Cells of the grid of circles across a shelf at most. Not measured.</summary>
    public const int CellsAcross = 64;

    /// <summary>Strips that cover a disc from outside where rectangles keep from it. Not measured.</summary>
    public const int StripsOfDisc = 6;

    /// <summary>By how much the order of filling a hole with rectangles varies at most, as a part of what is preferred. Not measured.</summary>
    public const double FillNoise = 0.8;

    /// <summary>A state of rectangles may be worth less than the present one by this part and still be gone on from. Not measured.</summary>
    public const double ExchangeLeniency = 0.002;

    /// <summary>The same where each piece counts as much as any other, so that a step may cost only area. Not measured.</summary>
    public const double CountLeniency = 0.0007;

    /// <summary>Rectangles taken off in one step at most. Not measured.</summary>
    public const int MostExchanged = 7;

    /// <summary>The same where it is their number that counts. More was taken at once since sets of our own were used to choose the rules (history).</summary>
    public const int MostExchangedOfCount = 12;

    /// <summary>Rectangles are offered that would cover so many times the area that was taken off, at least. Not measured.</summary>
    public const double LeastOffered = 1;

    /// <summary>The same at most. Not measured.</summary>
    public const double MostOffered = 1.5;

    /// <summary>Shorter ware than this part of the shelf's lesser extent lies in many places, and the overlap search finds one. Not measured.</summary>
    public const double TightLength = 0.5;

    /// <summary>Turns tried for a tight place: those at which most sides lie along sides of the shelf. Not measured.</summary>
    public const int TightTurns = 8;
}
