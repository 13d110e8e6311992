<?xml version="1.0" encoding="utf-8" ?>
<ogr:FeatureCollection
     gml:id="aFeatureCollection"
     xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"
     xsi:schemaLocation="http://ogr.maptools.org/ pl.xsd"
     xmlns:ogr="http://ogr.maptools.org/"
     xmlns:gml="http://www.opengis.net/gml/3.2">
  <gml:boundedBy><gml:Envelope srsName="urn:ogc:def:crs:EPSG::2180"><gml:lowerCorner>486000 637000</gml:lowerCorner><gml:upperCorner>486040 637020</gml:upperCorner></gml:Envelope></gml:boundedBy>
                                                                                                                                                          
  <ogr:featureMember>
    <ogr:pl gml:id="pl.0">
      <gml:boundedBy><gml:Envelope srsName="urn:ogc:def:crs:EPSG::2180"><gml:lowerCorner>486000 637000</gml:lowerCorner><gml:upperCorner>486040 637020</gml:upperCorner></gml:Envelope></gml:boundedBy>
      <ogr:geometryProperty><gml:Polygon srsName="urn:ogc:def:crs:EPSG::2180" gml:id="pl.geom.0"><gml:exterior><gml:LinearRing><gml:posList>486000 637000 486000 637020 486040 637020 486040 637000 486000 637000</gml:posList></gml:LinearRing></gml:exterior></gml:Polygon></ogr:geometryProperty>
      <ogr:WKT>POLYGON((637000 486000,637020 486000,637020 486040,637000 486040,637000 486000))</ogr:WKT>
      <ogr:N>1</ogr:N>
    </ogr:pl>
  </ogr:featureMember>
</ogr:FeatureCollection>
