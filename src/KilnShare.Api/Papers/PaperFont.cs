using PdfSharp.Fonts;

namespace KilnShare.Api.Papers;

/// <summary>The one font of all papers, shipped with the service, so that a paper looks the same on any machine.</summary>
internal sealed class PaperFont : IFontResolver
{
    /// <summary>Its family.</summary>
    public const string Family = "DejaVu Sans";

    private static readonly byte[] File = Read();

    /// <summary>Makes it known to the PDF writer; called once.</summary>
    public static void Register() => GlobalFontSettings.FontResolver ??= new PaperFont();

    /// <inheritdoc/>
    public byte[] GetFont(string faceName) => File;

    /// <inheritdoc/>
    public FontResolverInfo ResolveTypeface(string familyName, bool isBold, bool isItalic) => new(Family, isBold, isItalic);

    private static byte[] Read()
    {
        using var stream = typeof(PaperFont).Assembly.GetManifestResourceStream("KilnShare.Api.Papers.Fonts.DejaVuSans.ttf")
            ?? throw new InvalidOperationException("The font is missing from the service.");
        using var copy = new MemoryStream();
        stream.CopyTo(copy);
        return copy.ToArray();
    }
}
