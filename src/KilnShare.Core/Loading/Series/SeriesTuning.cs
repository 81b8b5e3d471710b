namespace KilnShare.Core.Loading.Series;

/// <summary>The numbers that steer the search for few loads. None changes what a load must satisfy.</summary>
internal static class SeriesTuning
{
    /// <summary>Iterations that fill one load of the first series. Not measured.</summary>
    public const long FirstIterations = 12;

    /// <summary>Iterations that fill one load of a series made with more care. Not measured.</summary>
    public const long CarefulIterations = 100;

    /// <summary>Iterations that bring more into a load. Not measured.</summary>
    public const long MoreIterations = 200;

    /// <summary>Iterations that fill one of two loads anew. Not measured.</summary>
    public const long AnewIterations = 40;

    /// <summary>Of ten changes so many fill two loads anew. Not measured.</summary>
    public const int PairsInTen = 3;

    /// <summary>Loads that what is offered to one may ask for. Not measured.</summary>
    public const double MostOffered = 8;

    /// <summary>A copy that asked for a whole load would be worth this much. Not measured.</summary>
    public const decimal ValueOfAll = 100;

    /// <summary>Where more lie on a shelf than this, area tells well enough how many. Not measured.</summary>
    public const int MostCounted = 8;

    /// <summary>Of ware that none was found room for on the largest shelves: it lies on others, if anywhere, and asks for twice as much as what lies
    /// there alone. Not measured.</summary>
    public const double LeastOnDeck = 0.5;
}
